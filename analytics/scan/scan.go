package scan

import (
	"io"

	"fairlead/analytics/geom"
	"fairlead/analytics/mesh"
	"fairlead/analytics/mesh/format"
)

// How a unit came to be used.
const (
	UnitStated  = "stated"
	UnitGuessed = "guessed from the size"
	UnitUnclear = "guessed from the size, and another unit would do nearly as well"
)

// Scan is a scan as it was read, in millimetres, cleaned and closed.
type Scan struct {
	Format    string
	Bytes     int64
	Triangles int // of the file
	Unit      Unit
	UnitHow   string
	*mesh.Cleaned
	Filled     *mesh.Mesh // Cleaned, closed over its rims
	Filling    mesh.Filling
	SurfaceMM2 float64 // that was scanned, without the filling
	VolumeMM3  float64 // of Filled
}

// Read reads a scan and works out its volume. The error is a *mesh.Fault for
// bad content.
func Read(from io.Reader, limits mesh.Limits, unit Unit) (*Scan, error) {
	file, err := format.Decode(from, limits)
	if err != nil {
		return nil, err
	}
	s := &Scan{Format: file.Format, Bytes: file.Bytes, Triangles: file.Triangles, Unit: unit, UnitHow: UnitStated}
	if unit == Auto {
		size := geom.BoxOf(file.Vertices).Size()
		longest := max(size.X, size.Y, size.Z)
		if longest == 0 {
			return nil, &mesh.Fault{What: "all triangles lie in one point", Do: "export the file from the scanner again"}
		}
		var clear bool
		s.Unit, clear = Guess(longest)
		s.UnitHow = map[bool]string{true: UnitGuessed, false: UnitUnclear}[clear]
	}
	file.Scale(s.Unit.MM())
	s.Cleaned = mesh.Clean(file)
	s.Filled, s.Filling = s.Fill()
	s.SurfaceMM2 = s.Surface()
	s.VolumeMM3 = s.Filled.Volume()
	return s, nil
}

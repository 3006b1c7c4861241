package main

import (
	"encoding/json"
	"io"

	"fairlead/analytics/geom"
	"fairlead/analytics/mesh"
	"fairlead/analytics/scan"
)

// The JSON of the command measure. Keys carry their units.
type (
	measureJSON struct {
		File     fileJSON      `json:"file"`
		Unit     unitJSON      `json:"unit"`
		Repairs  repairsJSON   `json:"repairs"`
		Shells   int           `json:"shells"`
		Closed   bool          `json:"closed"`
		Surface  float64       `json:"surface_mm2"`
		Volume   float64       `json:"volume_ml"`
		Frame    *frameJSON    `json:"frame,omitempty"`
		Sections []sectionJSON `json:"sections,omitempty"`
		Span     *spanJSON     `json:"span,omitempty"`
	}
	fileJSON struct {
		Format    string `json:"format"`
		Bytes     int64  `json:"bytes"`
		Triangles int    `json:"triangles"`
		SHA256    string `json:"sha256"`
	}
	unitJSON struct {
		Used scan.Unit `json:"used"`
		How  string    `json:"how"`
	}
	repairsJSON struct {
		Welded       int       `json:"welded"`
		Unused       int       `json:"unused_vertices"`
		Degenerate   int       `json:"degenerate"`
		Duplicate    int       `json:"duplicate"`
		Fragments    int       `json:"fragments"`
		FragmentsMM2 float64   `json:"fragments_mm2"`
		Flipped      int       `json:"flipped"`
		NonManifold  int       `json:"nonmanifold_edges"`
		Twisted      int       `json:"twisted_edges"`
		Holes        []rimJSON `json:"holes"`
		FilledMM2    float64   `json:"filled_mm2"`
		FilledML     float64   `json:"filled_bound_ml"`
	}
	rimJSON struct {
		LengthMM float64      `json:"length_mm"`
		AreaMM2  float64      `json:"area_mm2"`
		Kind     mesh.RimKind `json:"kind"`
	}
	frameJSON struct {
		Origin   [3]float64 `json:"origin_mm"`
		Axis     [3]float64 `json:"axis"`
		LengthMM float64    `json:"length_mm"`
		How      string     `json:"how"`
	}
	sectionJSON struct {
		LevelMM      float64 `json:"level_mm"`
		FromEndMM    float64 `json:"from_end_mm"`
		GirthMM      float64 `json:"girth_mm"`
		ContourMM    float64 `json:"contour_mm"`
		AreaMM2      float64 `json:"area_mm2"`
		Complete     bool    `json:"complete"`
		GirthBoundMM float64 `json:"girth_bound_mm"`
		AreaBoundMM2 float64 `json:"area_bound_mm2"`
	}
	spanJSON struct {
		FromMM      float64 `json:"from_mm"`
		ToMM        float64 `json:"to_mm"`
		SolidML     float64 `json:"solid_ml"`
		FrustaML    float64 `json:"frusta_ml"`
		ShapeFactor float64 `json:"shape_factor"`
	}
)

func (r *measureReport) writeJSON(w io.Writer) error {
	p := r.Repairs
	object := measureJSON{
		File: fileJSON{r.Format, r.Bytes, r.Triangles, r.sha256},
		Unit: unitJSON{r.Unit, r.UnitHow},
		Repairs: repairsJSON{
			Welded: p.Welded, Unused: p.Unused, Degenerate: p.Degenerate, Duplicate: p.Duplicate,
			Fragments: p.Fragments, FragmentsMM2: p.FragmentsMM2, Flipped: p.Flipped,
			NonManifold: p.NonManifoldEdges, Twisted: p.TwistedEdges,
			Holes: []rimJSON{}, FilledMM2: r.Filling.HolesMM2, FilledML: r.Filling.HolesMM3 / 1000,
		},
		Shells: r.Found, Closed: r.Closed(), Surface: r.SurfaceMM2, Volume: r.VolumeMM3 / 1000,
	}
	for _, rim := range r.Rims {
		object.Repairs.Holes = append(object.Repairs.Holes, rimJSON{rim.LengthMM, rim.AreaMM2, rim.Kind})
	}
	if r.measured {
		object.Frame = &frameJSON{triple(r.frame.Origin), triple(r.frame.Direction), r.frame.LengthMM, r.frame.How}
		for _, l := range r.levels {
			object.Sections = append(object.Sections, sectionJSON{
				LevelMM: l.LevelMM, FromEndMM: l.FromEndMM, GirthMM: l.GirthMM, ContourMM: l.ContourMM, AreaMM2: l.AreaMM2,
				Complete: l.Complete, GirthBoundMM: l.GirthBoundMM, AreaBoundMM2: l.AreaBoundMM2,
			})
		}
	}
	if r.hasSpan {
		object.Span = &spanJSON{r.span.FromMM, r.span.ToMM, r.span.SolidML, r.span.FrustaML, r.span.ShapeFactor}
	}
	encoder := json.NewEncoder(w)
	encoder.SetEscapeHTML(false)
	encoder.SetIndent("", "  ")
	return encoder.Encode(object)
}

func triple(v geom.Vec) [3]float64 { return [3]float64{v.X, v.Y, v.Z} }

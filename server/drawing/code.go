package drawing

import (
	"fmt"
	"strings"

	"github.com/boombuler/barcode/qr"
)

// quietModules is the empty margin round a code that a reader needs: four modules
// (ISO/IEC 18004).
const quietModules = 4

// Code is an address as a square code that a phone's camera reads: the path of
// its dark modules in a square view box of Size, one module a unit, with the
// empty margin inside. It is drawn dark on light whatever the page's colours.
type Code struct {
	Size int
	Path string
}

// NewCode draws an address so that it can still be read with 15 % of the code lost
// to dirt or a crease (level M). An address that no code holds, of more than two thousand characters, is
// an error.
func NewCode(address string) (Code, error) {
	modules, err := qr.Encode(address, qr.M, qr.Unicode)
	if err != nil {
		return Code{}, fmt.Errorf("code: %w", err)
	}
	side := modules.Bounds().Dx()
	dark := func(x, y int) bool {
		if x >= side {
			return false
		}
		red, _, _, _ := modules.At(x, y).RGBA()
		return red < 0x8000
	}
	var path strings.Builder
	for y := range side {
		for x := 0; x < side; x++ {
			run := 0
			for dark(x+run, y) {
				run++
			}
			if run > 0 {
				fmt.Fprintf(&path, "M%d %dh%dv1h-%dz", x+quietModules, y+quietModules, run, run)
				x += run
			}
		}
	}
	return Code{Size: side + 2*quietModules, Path: path.String()}, nil
}

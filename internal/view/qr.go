package view

import (
	"fmt"
	"strings"

	"rsc.io/qr"
)

// quiet is the blank border that a QR code needs, in modules (ISO/IEC 18004,
// from memory: four).
const quiet = 4

// QR is a QR code to be drawn, dark on light in every theme, because cameras
// cannot read it otherwise.
type QR struct {
	Size int    // length of a side with its border, in modules
	Dark string // the dark modules as one path
	Name string // what it holds, in words
}

// NewQR returns a QR code of a text; name says in words what it contains.
func NewQR(text, name string) (QR, error) {
	code, err := qr.Encode(text, qr.M)
	if err != nil {
		return QR{}, fmt.Errorf("make a QR code: %w", err)
	}
	var b strings.Builder
	for y := range code.Size {
		for x := 0; x < code.Size; x++ {
			run := 0
			for x+run < code.Size && code.Black(x+run, y) {
				run++
			}
			if run > 0 {
				fmt.Fprintf(&b, "M%d %dh%dv1h-%dz", x+quiet, y+quiet, run, run)
				x += run
			}
		}
	}
	return QR{Size: code.Size + 2*quiet, Dark: b.String(), Name: name}, nil
}

package main

import (
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"image"
	"image/color"
	"image/png"
	"strings"
)

// The mark of web/src/img/icon.svg as points on its grid of 32, scaled to three
// fifths in the middle so that a phone can round the corners. The lines of the
// drawing are outlined here, 2.5 thick.
var iconShapes = [][][2]float64{
	{{3, 8}, {9, 8}, {9, 30}, {3, 30}},
	{{1, 4}, {11, 4}, {11, 7}, {1, 7}},
	{{8.57, 11.83}, {30.57, 3.83}, {31.43, 6.17}, {9.43, 14.17}},
	{{9, 27.25}, {18.25, 27.25}, {18.25, 29.75}, {9, 29.75}},
	{{15.75, 21.25}, {18.25, 21.25}, {18.25, 29.75}, {15.75, 29.75}},
	{{15.75, 21.25}, {25.25, 21.25}, {25.25, 23.75}, {15.75, 23.75}},
	{{22.75, 15.25}, {25.25, 15.25}, {25.25, 23.75}, {22.75, 23.75}},
	{{22.75, 15.25}, {31, 15.25}, {31, 17.75}, {22.75, 17.75}},
}

const iconSamples = 4 // per side of each pixel

// icon renders the mark as a bitmap, because phones do not use SVG on their
// home screens.
func icon(size int) (file, error) {
	paper, ink := color.RGBA{0xF6, 0xF1, 0xE6, 0xFF}, color.RGBA{0x25, 0x20, 0x1A, 0xFF}
	img := image.NewRGBA(image.Rect(0, 0, size, size))
	for y := range size {
		for x := range size {
			img.SetRGBA(x, y, mix(paper, ink, covered(x, y, size)))
		}
	}
	var buf bytes.Buffer
	if err := png.Encode(&buf, img); err != nil {
		return file{}, fmt.Errorf("draw the icon: %w", err)
	}
	sum := sha256.Sum256(buf.Bytes())
	name := fmt.Sprintf("icon-%d", size)
	return file{name: name + ".png", hashed: name + "-" + strings.ToUpper(hex.EncodeToString(sum[:4])) + ".png", body: buf.Bytes()}, nil
}

// covered returns the part of a pixel that the mark covers, 0 to 1.
func covered(x, y, size int) float64 {
	hits := 0
	for i := range iconSamples * iconSamples {
		px := (float64(x) + (float64(i%iconSamples)+0.5)/iconSamples) / float64(size)
		py := (float64(y) + (float64(i/iconSamples)+0.5)/iconSamples) / float64(size)
		if inMark((px-0.2)/0.6*32, (py-0.2)/0.6*32) {
			hits++
		}
	}
	return float64(hits) / (iconSamples * iconSamples)
}

func inMark(x, y float64) bool {
	for _, shape := range iconShapes {
		if inside(shape, x, y) {
			return true
		}
	}
	return false
}

// inside reports whether the point is inside the shape, by the even-odd rule.
func inside(shape [][2]float64, x, y float64) bool {
	in := false
	for i, a := range shape {
		b := shape[(i+1)%len(shape)]
		if (a[1] > y) != (b[1] > y) && x < a[0]+(y-a[1])/(b[1]-a[1])*(b[0]-a[0]) {
			in = !in
		}
	}
	return in
}

func mix(a, b color.RGBA, part float64) color.RGBA {
	one := func(x, y uint8) uint8 { return uint8(float64(x) + (float64(y)-float64(x))*part + 0.5) }
	return color.RGBA{one(a.R, b.R), one(a.G, b.G), one(a.B, b.B), 0xFF}
}

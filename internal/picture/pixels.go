package picture

import (
	"image"
	"image/color"
	"image/draw"
)

// rotated shows a picture upright: one of the eight values of the tag
// Orientation (Exif 2.3, 4.6.4; from memory).
type rotated struct {
	image.Image
	way int
}

func turned(p image.Image, way int) image.Image {
	if way < 2 || way > 8 {
		return p
	}
	return rotated{p, way}
}

func (r rotated) Bounds() image.Rectangle {
	b := r.Image.Bounds()
	if r.way >= 5 { // sideways
		return image.Rect(0, 0, b.Dy(), b.Dx())
	}
	return image.Rect(0, 0, b.Dx(), b.Dy())
}

func (r rotated) At(x, y int) color.Color { return r.RGBA64At(x, y) }

// RGBA64At implements image.RGBA64Image.
func (r rotated) RGBA64At(x, y int) color.RGBA64 {
	b := r.Image.Bounds()
	right, bottom := b.Dx()-1, b.Dy()-1
	switch r.way {
	case 2:
		x = right - x
	case 3:
		x, y = right-x, bottom-y
	case 4:
		y = bottom - y
	case 5:
		x, y = y, x
	case 6:
		x, y = y, bottom-x
	case 7:
		x, y = right-y, bottom-x
	case 8:
		x, y = right-y, x
	}
	return at(r.Image, b.Min.X+x, b.Min.Y+y)
}

// onWhite is a picture without transparency, which JPEG does not support.
type onWhite struct{ image.Image }

func (w onWhite) At(x, y int) color.Color { return w.RGBA64At(x, y) }

// RGBA64At implements image.RGBA64Image.
func (w onWhite) RGBA64At(x, y int) color.RGBA64 {
	c := at(w.Image, x, y)
	rest := 0xffff - c.A
	return color.RGBA64{R: c.R + rest, G: c.G + rest, B: c.B + rest, A: 0xffff}
}

func at(p image.Image, x, y int) color.RGBA64 {
	if fast, ok := p.(image.RGBA64Image); ok {
		return fast.RGBA64At(x, y)
	}
	r, g, b, a := p.At(x, y).RGBA()
	return color.RGBA64{R: uint16(r), G: uint16(g), B: uint16(b), A: uint16(a)}
}

// scaled shrinks the picture so that the longer side is at most side pixels:
// each pixel is the mean of those it replaces. A picture that is already small
// enough and upright is unchanged.
func scaled(p image.Image, side int) image.Image {
	b := p.Bounds()
	w, h := b.Dx(), b.Dy()
	if longer := max(w, h); longer > side {
		w, h = max(1, w*side/longer), max(1, h*side/longer)
	} else if _, ok := p.(draw.Image); ok {
		return p
	}
	out := image.NewRGBA(image.Rect(0, 0, w, h))
	for y := range h {
		top, bottom := b.Min.Y+y*b.Dy()/h, b.Min.Y+(y+1)*b.Dy()/h
		for x := range w {
			left, right := b.Min.X+x*b.Dx()/w, b.Min.X+(x+1)*b.Dx()/w
			out.SetRGBA(x, y, mean(p, image.Rect(left, top, right, bottom)))
		}
	}
	return out
}

func mean(p image.Image, over image.Rectangle) color.RGBA {
	var r, g, b, a uint64
	for y := over.Min.Y; y < over.Max.Y; y++ {
		for x := over.Min.X; x < over.Max.X; x++ {
			c := at(p, x, y)
			r, g, b, a = r+uint64(c.R), g+uint64(c.G), b+uint64(c.B), a+uint64(c.A)
		}
	}
	n := uint64(over.Dx() * over.Dy())
	byteOf := func(sum uint64) uint8 { return uint8((sum + 128*n) / (257 * n)) } // rounded
	return color.RGBA{R: byteOf(r), G: byteOf(g), B: byteOf(b), A: byteOf(a)}
}

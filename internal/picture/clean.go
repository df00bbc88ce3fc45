package picture

import (
	"bytes"
	"image"
	"image/color"
	"image/jpeg"
	"image/png"

	"newel/internal/newel"
)

// Limits on uploads. The size in the file's header bounds the memory for
// decoding, before anything is decoded.
const (
	MaxUpload  = 16 << 20   // bytes
	maxPixels  = 25_000_000 // as many as phone cameras produce
	maxDecoded = 128 << 20  // bytes
)

// sides lists the lengths in pixels of the longer side, tried in turn; a
// phone's screen is about as wide as the first.
var sides = []int{1280, 960, 720, 480, 320}

// qualities lists the JPEG qualities tried in turn at each size.
var qualities = []int{85, 75, 65}

// Clean decodes a PNG or JPEG and encodes it again: upright, at most
// newel.MaxPicture bytes, and without metadata. An error it returns is a
// *newel.Invalid about the field.
func Clean(field string, body []byte) ([]byte, error) {
	kind, err := admitted(field, body)
	if err != nil {
		return nil, err
	}
	decode := jpeg.Decode
	if kind == newel.PNG {
		decode = png.Decode
	}
	whole, err := decode(bytes.NewReader(body))
	if err != nil {
		return nil, refused(field, "picture.broken")
	}
	upright := turned(whole, orientation(body))
	if kind == newel.PNG {
		if out, ok := asPNG(upright); ok {
			return out, nil
		}
		upright = onWhite{upright}
	}
	for _, side := range sides {
		small := scaled(upright, side)
		for _, quality := range qualities {
			var out bytes.Buffer
			if err := jpeg.Encode(&out, small, &jpeg.Options{Quality: quality}); err != nil {
				return nil, refused(field, "picture.broken")
			}
			if out.Len() <= newel.MaxPicture {
				return out.Bytes(), nil
			}
		}
	}
	return nil, refused(field, "picture.too_large", "limit", newel.MaxPicture>>10)
}

// asPNG encodes a picture without loss if the result is small enough, as for
// drawings but not photos.
func asPNG(p image.Image) ([]byte, bool) {
	var out bytes.Buffer
	e := png.Encoder{CompressionLevel: png.BestCompression}
	err := e.Encode(&out, scaled(p, sides[0]))
	return out.Bytes(), err == nil && out.Len() <= newel.MaxPicture
}

func refused(field, key string, args ...any) error {
	var e newel.Invalid
	e.Add(field, key, args...)
	return e.OrNil()
}

// admitted checks the header only.
func admitted(field string, body []byte) (kind string, err error) {
	if len(body) > MaxUpload {
		return "", refused(field, "picture.upload_large", "limit", MaxUpload>>20)
	}
	kind, read := newel.PNG, png.DecodeConfig
	if bytes.HasPrefix(body, []byte{0xff, 0xd8}) {
		kind, read = newel.JPEG, jpeg.DecodeConfig
	}
	head, err := read(bytes.NewReader(body))
	if err != nil {
		return "", refused(field, "picture.upload_kind")
	}
	limit := min(maxPixels, maxDecoded/bytesEach(kind, head.ColorModel, body))
	if head.Width < 1 || head.Height < 1 || head.Width > limit/head.Height {
		return "", refused(field, "picture.upload_pixels", "limit", limit/1_000_000)
	}
	return kind, nil
}

// bytesEach returns how many bytes a pixel takes while decoding.
func bytesEach(kind string, model color.Model, body []byte) int {
	switch {
	case kind == newel.JPEG && !baseline(body):
		return 16 // a four-byte coefficient per pixel for up to four components
	case model == color.RGBA64Model, model == color.NRGBA64Model:
		return 8
	}
	return 4
}

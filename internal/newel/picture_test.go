package newel

import (
	"bytes"
	"encoding/base64"
	"errors"
	"image"
	"image/jpeg"
	"image/png"
	"testing"
)

func drawn(t *testing.T, w, h int, encode func(*bytes.Buffer, image.Image) error) []byte {
	t.Helper()
	var b bytes.Buffer
	if err := encode(&b, image.NewGray(image.Rect(0, 0, w, h))); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

func asPNG(b *bytes.Buffer, m image.Image) error  { return png.Encode(b, m) }
func asJPEG(b *bytes.Buffer, m image.Image) error { return jpeg.Encode(b, m, nil) }

// webP builds the head of a WebP file following RFC 9649: RIFF, size, WEBP,
// then one chunk. It takes the byte layout from the RFC because no encoder is
// available.
func webP(chunk string, data ...byte) []byte {
	b := append([]byte("RIFF\x00\x00\x00\x00WEBP"+chunk), byte(len(data)), 0, 0, 0)
	return append(append(b, data...), make([]byte, 16)...)
}

func TestReadPicture(t *testing.T) {
	t.Parallel()
	// The smallest lossy WebP, 1 by 1, commonly used for feature detection
	// (recalled).
	small, err := base64.StdEncoding.DecodeString("UklGRiIAAABXRUJQVlA4IBYAAAAwAQCdASoBAAEADsD+JaQAA3AAAAAA")
	if err != nil {
		t.Fatal(err)
	}
	for name, c := range map[string]struct {
		body          []byte
		kind          string
		width, height int
		problem       string
	}{
		"png":              {body: drawn(t, 3, 2, asPNG), kind: PNG, width: 3, height: 2},
		"jpeg":             {body: drawn(t, 5, 4, asJPEG), kind: JPEG, width: 5, height: 4},
		"webp":             {body: small, kind: WebP, width: 1, height: 1},
		"webp lossless":    {body: webP("VP8L", 0x2f, 0x02, 0x40, 0x00, 0x00), kind: WebP, width: 3, height: 2},
		"webp extended":    {body: webP("VP8X", 0x10, 0, 0, 0, 2, 0, 0, 1, 0, 0), kind: WebP, width: 3, height: 2},
		"webp that moves":  {body: webP("VP8X", 0x02, 0, 0, 0, 2, 0, 0, 1, 0, 0), problem: "picture.kind"},
		"nothing":          {problem: "field.required"},
		"a page":           {body: []byte("<!doctype html><script>"), problem: "picture.kind"},
		"a drawing":        {body: []byte(`<svg xmlns="http://www.w3.org/2000/svg"/>`), problem: "picture.kind"},
		"too many pixels":  {body: drawn(t, MaxPictureSide+1, 1, asPNG), problem: "picture.too_many_pixels"},
		"too many bytes":   {body: append(drawn(t, 3, 2, asPNG), make([]byte, MaxPicture)...), problem: "picture.too_large"},
		"half of a head":   {body: drawn(t, 3, 2, asPNG)[:20], problem: "picture.kind"},
		"a moving picture": {body: []byte("GIF89a\x01\x00\x01\x00\x00\x00\x00;"), problem: "picture.kind"},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			p, err := ReadPicture("picture", c.body)
			var invalid *Invalid
			switch {
			case c.problem != "" && (!errors.As(err, &invalid) || invalid.Problems[0].Key != c.problem || invalid.Problems[0].Field != "picture"):
				t.Errorf("got %v, want %s", err, c.problem)
			case c.problem == "" && (err != nil || p.Kind != c.kind || p.Width != c.width || p.Height != c.height || len(p.SHA256) != 64):
				t.Errorf("got %+v, %v", p, err)
			}
		})
	}
}

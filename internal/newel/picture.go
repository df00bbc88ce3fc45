package newel

import (
	"bytes"
	"crypto/sha256"
	"encoding/binary"
	"encoding/hex"
	"image/jpeg"
	"image/png"
)

// Limits on a picture. A phone with a poor connection fetches every picture of
// the day in advance, and an old phone has to render it.
const (
	MaxPicture     = 200 << 10 // bytes
	MaxPictureSide = 4096      // pixels
)

// Media types of pictures: those that every browser can show and that cannot
// contain scripts.
const (
	PNG  = "image/png"
	JPEG = "image/jpeg"
	WebP = "image/webp"
)

// Picture is a picture of a target or a step, identified by the SHA-256 of its
// bytes.
type Picture struct {
	SHA256 string // hex
	Kind   string // media type
	Width  int    // pixels
	Height int
	Body   []byte
}

// PictureRef is a reference to a picture in a document or kit.
type PictureRef struct {
	SHA256 string `json:"sha256"` // hex
	Type   string `json:"type"`
	Size   int    `json:"size"` // bytes
	Alt    string `json:"alt"`  // alternative text
}

// Ref returns a reference to the picture with the given alternative text.
func (p Picture) Ref(alt string) PictureRef {
	return PictureRef{SHA256: p.SHA256, Type: p.Kind, Size: len(p.Body), Alt: alt}
}

// ReadPicture decodes a picture's header. It determines the type from the first
// bytes, never from a declared type. An error it returns is an *Invalid about
// the field.
func ReadPicture(field string, body []byte) (Picture, error) {
	var e Invalid
	kind, width, height := pictureHead(body)
	switch {
	case len(body) == 0:
		e.Add(field, "field.required")
	case len(body) > MaxPicture:
		e.Add(field, "picture.too_large", "limit", MaxPicture>>10)
	case kind == "":
		e.Add(field, "picture.kind")
	case width < 1 || height < 1 || width > MaxPictureSide || height > MaxPictureSide:
		e.Add(field, "picture.too_many_pixels", "limit", MaxPictureSide)
	}
	if err := e.OrNil(); err != nil {
		return Picture{}, err
	}
	sum := sha256.Sum256(body)
	return Picture{SHA256: hex.EncodeToString(sum[:]), Kind: kind, Width: width, Height: height, Body: body}, nil
}

func pictureHead(body []byte) (kind string, width, height int) {
	if c, err := png.DecodeConfig(bytes.NewReader(body)); err == nil {
		return PNG, c.Width, c.Height
	}
	if c, err := jpeg.DecodeConfig(bytes.NewReader(body)); err == nil {
		return JPEG, c.Width, c.Height
	}
	if width, height, ok := webPHead(body); ok {
		return WebP, width, height
	}
	return "", 0, 0
}

// webPHead reads the size of a still WebP picture (RFC 9649, 2.3 to 2.7): a
// RIFF file whose first chunk is VP8, VP8L or VP8X.
func webPHead(b []byte) (width, height int, ok bool) {
	if len(b) < 30 || string(b[:4]) != "RIFF" || string(b[8:12]) != "WEBP" {
		return 0, 0, false
	}
	data := b[20:]
	switch string(b[12:16]) {
	case "VP8 ": // RFC 6386, 9.1: a three-byte frame tag, a start code, two 14-bit sizes
		if data[0]&1 != 0 || data[3] != 0x9d || data[4] != 0x01 || data[5] != 0x2a {
			return 0, 0, false
		}
		return int(binary.LittleEndian.Uint16(data[6:]) & 0x3fff), int(binary.LittleEndian.Uint16(data[8:]) & 0x3fff), true
	case "VP8L": // a signature, then two 14-bit sizes minus one
		if data[0] != 0x2f {
			return 0, 0, false
		}
		bits := binary.LittleEndian.Uint32(data[1:])
		return int(bits&0x3fff) + 1, int(bits>>14&0x3fff) + 1, true
	case "VP8X": // flags, three reserved bytes, two 24-bit sizes minus one
		if data[0]&0x02 != 0 { // animated: a child who is asked something must not see moving pictures
			return 0, 0, false
		}
		return int(uint24(data[4:])) + 1, int(uint24(data[7:])) + 1, true
	}
	return 0, 0, false
}

func uint24(b []byte) uint32 { return uint32(b[0]) | uint32(b[1])<<8 | uint32(b[2])<<16 }

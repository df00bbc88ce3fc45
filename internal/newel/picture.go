package newel

import (
	"bytes"
	"crypto/sha256"
	"encoding/binary"
	"encoding/hex"
	"image/jpeg"
	"image/png"
)

// Bounds of a picture. A phone on a poor line fetches every one of a day
// ahead, and an old one has to draw it.
const (
	MaxPicture     = 200 << 10 // bytes
	MaxPictureSide = 4096      // pixels
)

// The media types of pictures: those that every browser shows and that can
// hold no script.
const (
	PNG  = "image/png"
	JPEG = "image/jpeg"
	WebP = "image/webp"
)

// Picture is a picture of a target or a step, named by the SHA-256 of its
// bytes.
type Picture struct {
	SHA256 string // hex
	Kind   string // media type
	Width  int    // pixels
	Height int
	Body   []byte
}

// PictureRef is how a document and a kit name a picture.
type PictureRef struct {
	SHA256 string `json:"sha256"` // hex
	Type   string `json:"type"`
	Size   int    `json:"size"` // bytes
	Alt    string `json:"alt"`  // what it shows, for whoever cannot see it
}

// Ref names the picture with what it shows.
func (p Picture) Ref(alt string) PictureRef {
	return PictureRef{SHA256: p.SHA256, Type: p.Kind, Size: len(p.Body), Alt: alt}
}

// ReadPicture takes a picture in, by its own first bytes and never by what
// somebody says it is. The error is an *Invalid about the field.
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
	case "VP8 ": // RFC 6386, 9.1: three bytes of frame tag, a start code, two sizes of 14 bits
		if data[0]&1 != 0 || data[3] != 0x9d || data[4] != 0x01 || data[5] != 0x2a {
			return 0, 0, false
		}
		return int(binary.LittleEndian.Uint16(data[6:]) & 0x3fff), int(binary.LittleEndian.Uint16(data[8:]) & 0x3fff), true
	case "VP8L": // a signature, then two sizes less one of 14 bits
		if data[0] != 0x2f {
			return 0, 0, false
		}
		bits := binary.LittleEndian.Uint32(data[1:])
		return int(bits&0x3fff) + 1, int(bits>>14&0x3fff) + 1, true
	case "VP8X": // flags, three reserved bytes, two sizes less one of 24 bits
		if data[0]&0x02 != 0 { // moving: nothing that moves stands before a child who is asked something
			return 0, 0, false
		}
		return int(uint24(data[4:])) + 1, int(uint24(data[7:])) + 1, true
	}
	return 0, 0, false
}

func uint24(b []byte) uint32 { return uint32(b[0]) | uint32(b[1])<<8 | uint32(b[2])<<16 }

package picture

import (
	"bytes"
	"encoding/binary"
	"slices"
)

// Plain reports whether a file contains nothing but its picture: no location or
// time, no text, and nothing after the end. A file that cannot be parsed is not
// plain.
func Plain(body []byte) bool {
	switch {
	case bytes.HasPrefix(body, pngMark):
		return plainPNG(body)
	case bytes.HasPrefix(body, []byte{0xff, soi}):
		return plainJPEG(body)
	case bytes.HasPrefix(body, []byte("RIFF")):
		return plainWebP(body)
	}
	return false
}

var pngMark = []byte("\x89PNG\r\n\x1a\n")

// shows lists the chunks that affect how a PNG looks (PNG, third edition, 4.8
// and 11); others, such as eXIf and tEXt, hold metadata.
var shows = []string{
	"IHDR", "PLTE", "IDAT", "IEND", "tRNS", "cHRM", "gAMA", "iCCP", "sBIT", "sRGB", "cICP", "bKGD", "hIST", "pHYs", "sPLT",
}

// pngChunks iterates over the chunks of a PNG: length, name, data, checksum.
func pngChunks(body []byte, each func(name string, data []byte) bool) (whole bool) {
	rest := body[len(pngMark):]
	for len(rest) >= 12 {
		n := int(binary.BigEndian.Uint32(rest))
		if n < 0 || n > len(rest)-12 {
			return false
		}
		name := string(rest[4:8])
		if !each(name, rest[8:8+n]) {
			return false
		}
		rest = rest[12+n:]
		if name == "IEND" {
			return len(rest) == 0
		}
	}
	return false
}

func plainPNG(body []byte) bool {
	return pngChunks(body, func(name string, _ []byte) bool { return slices.Contains(shows, name) })
}

// Markers of JPEG (ITU-T T.81, table B.1).
const (
	soi, eoi, sos = 0xd8, 0xd9, 0xda
	sof0, sof1    = 0xc0, 0xc1 // coded in a single pass
	app0, app15   = 0xe0, 0xef
	com           = 0xfe
)

// jpegSegments iterates over the segments of a JPEG, skipping the coded data
// between them. It reports whether the file ends with the end of the picture.
func jpegSegments(body []byte, each func(marker byte, data []byte) bool) (whole bool) {
	rest := body[2:]
	for len(rest) >= 2 {
		if rest[0] != 0xff {
			return false
		}
		marker := rest[1]
		switch {
		case marker == 0xff: // fill byte
			rest = rest[1:]
			continue
		case marker == eoi:
			return len(rest) == 2
		case len(rest) < 4:
			return false
		}
		n := int(binary.BigEndian.Uint16(rest[2:]))
		if n < 2 || n > len(rest)-2 {
			return false
		}
		if !each(marker, rest[4:2+n]) {
			return false
		}
		rest = rest[2+n:]
		if marker == sos {
			rest = rest[coded(rest):]
		}
	}
	return false
}

// coded returns the length of the coded data up to a marker that is neither a
// stuffed byte nor a restart.
func coded(rest []byte) int {
	for i := 0; i+1 < len(rest); i++ {
		if rest[i] == 0xff && rest[i+1] != 0 && (rest[i+1] < 0xd0 || rest[i+1] > 0xd7) {
			return i
		}
	}
	return len(rest)
}

// plainJPEG accepts what decoders need for correct colors: the JFIF and Adobe
// headers and the color profile.
func plainJPEG(body []byte) bool {
	return jpegSegments(body, func(marker byte, data []byte) bool {
		switch {
		case marker == com:
			return false
		case marker < app0 || marker > app15:
			return true
		}
		return bytes.HasPrefix(data, []byte("JFIF\x00")) || bytes.HasPrefix(data, []byte("Adobe")) || bytes.HasPrefix(data, []byte("ICC_PROFILE\x00"))
	})
}

// baseline reports whether a JPEG is certain to be coded in a single pass.
func baseline(body []byte) bool {
	found := false
	jpegSegments(body, func(marker byte, _ []byte) bool {
		found = found || marker == sof0 || marker == sof1
		return marker != sos
	})
	return found
}

// plainWebP iterates over the chunks of a WebP (RFC 9649, 2.7): name, length,
// data, and a padding byte after an odd length.
func plainWebP(body []byte) bool {
	if len(body) < 12 || int(binary.LittleEndian.Uint32(body[4:]))+8 != len(body) {
		return false
	}
	for rest := body[12:]; len(rest) > 0; {
		if len(rest) < 8 || !slices.Contains([]string{"VP8 ", "VP8L", "VP8X", "ALPH", "ICCP"}, string(rest[:4])) {
			return false
		}
		n := int(binary.LittleEndian.Uint32(rest[4:]))
		n += n & 1
		if n < 0 || n > len(rest)-8 {
			return false
		}
		rest = rest[8+n:]
	}
	return true
}

// orientation returns the Exif orientation, 1 to 8; 0 if there is none.
func orientation(body []byte) (way int) {
	switch {
	case bytes.HasPrefix(body, pngMark):
		pngChunks(body, func(name string, data []byte) bool {
			if name == "eXIf" {
				way = orientationIn(data)
			}
			return way == 0
		})
	case bytes.HasPrefix(body, []byte{0xff, soi}):
		jpegSegments(body, func(marker byte, data []byte) bool {
			if exif, is := bytes.CutPrefix(data, []byte("Exif\x00\x00")); is && marker == app0+1 {
				way = orientationIn(exif)
			}
			return way == 0 && marker != sos
		})
	}
	return way
}

// orientationIn finds the tag in the first directory of an Exif block: byte
// order, offset of the directory, number of entries, and for each a tag, type,
// count and value (TIFF 6.0, section 2).
func orientationIn(exif []byte) int {
	if len(exif) < 8 {
		return 0
	}
	var order binary.ByteOrder = binary.BigEndian
	if string(exif[:2]) == "II" {
		order = binary.LittleEndian
	}
	start := int64(order.Uint32(exif[4:]))
	if start+2 > int64(len(exif)) {
		return 0
	}
	entries := exif[start+2:]
	for range order.Uint16(exif[start:]) {
		if len(entries) < 12 {
			return 0
		}
		const tag, short = 0x0112, 3
		if order.Uint16(entries) == tag && order.Uint16(entries[2:]) == short {
			return int(order.Uint16(entries[8:]))
		}
		entries = entries[12:]
	}
	return 0
}

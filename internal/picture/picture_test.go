package picture

import (
	"bytes"
	"encoding/binary"
	"errors"
	"hash/crc32"
	"image"
	"image/color"
	"image/gif"
	"image/jpeg"
	"image/png"
	"slices"
	"testing"

	"newel/internal/newel"
)

// noise returns a picture that no encoder can compress well; always the same.
func noise(w, h int) *image.NRGBA {
	p := image.NewNRGBA(image.Rect(0, 0, w, h))
	state := uint32(1)
	for i := range p.Pix {
		state = state*1664525 + 1013904223
		p.Pix[i] = byte(state >> 24)
	}
	return p
}

func asJPEG(t *testing.T, p image.Image) []byte {
	t.Helper()
	var b bytes.Buffer
	if err := jpeg.Encode(&b, p, nil); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

func inPNG(t *testing.T, p image.Image) []byte {
	t.Helper()
	var b bytes.Buffer
	if err := png.Encode(&b, p); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

// exif returns a block as cameras write it, with orientation and location.
func exif(order binary.AppendByteOrder, way uint16) []byte {
	b := []byte("MM")
	if order == binary.AppendByteOrder(binary.LittleEndian) {
		b = []byte("II")
	}
	b = order.AppendUint16(b, 42)
	b = order.AppendUint32(b, 8)
	b = order.AppendUint16(b, 2)
	for _, entry := range [][2]uint16{{0x0100, 7}, {0x0112, way}} {
		b = order.AppendUint16(b, entry[0])
		b = order.AppendUint16(b, 3)
		b = order.AppendUint32(b, 1)
		b = order.AppendUint16(b, entry[1])
		b = order.AppendUint16(b, 0)
	}
	return append(b, "51 30 N, 0 7 W"...)
}

// withSegment inserts a segment after the first marker of a JPEG.
func withSegment(body []byte, marker byte, data string) []byte {
	segment := binary.BigEndian.AppendUint16([]byte{0xff, marker}, uint16(len(data)+2))
	return slices.Concat(body[:2], segment, []byte(data), body[2:])
}

// withChunk inserts a chunk after the header of a PNG.
func withChunk(body []byte, name, data string) []byte {
	const head = 8 + 25
	chunk := binary.BigEndian.AppendUint32(nil, uint32(len(data)))
	chunk = append(chunk, name+data...)
	chunk = binary.BigEndian.AppendUint32(chunk, crc32.ChecksumIEEE(chunk[4:]))
	return slices.Concat(body[:head], chunk, body[head:])
}

// TestNothingButThePictureIsKept: camera metadata is removed, and the photo is
// upright.
func TestNothingButThePictureIsKept(t *testing.T) {
	t.Parallel()
	// Left red, right blue, 40 wide and 20 high; held sideways.
	p := image.NewNRGBA(image.Rect(0, 0, 40, 20))
	for x := range 40 {
		for y := range 20 {
			c := color.NRGBA{R: 200, A: 255}
			if x >= 20 {
				c = color.NRGBA{B: 200, A: 255}
			}
			p.SetNRGBA(x, y, c)
		}
	}
	for name, body := range map[string][]byte{
		"JPEG":               withSegment(withSegment(asJPEG(t, p), 0xe1, "Exif\x00\x00"+string(exif(binary.BigEndian, 6))), 0xfe, "51 30 N"),
		"JPEG, little first": withSegment(asJPEG(t, p), 0xe1, "Exif\x00\x00"+string(exif(binary.LittleEndian, 6))),
		"PNG":                withChunk(withChunk(inPNG(t, p), "tEXt", "Comment\x0051 30 N"), "eXIf", string(exif(binary.BigEndian, 6))),
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			if !bytes.Contains(body, []byte("51 30 N")) || Plain(body) {
				t.Fatal("the test picture should contain metadata")
			}
			out, err := Clean("picture", body)
			if err != nil {
				t.Fatal(err)
			}
			if bytes.Contains(out, []byte("51 30 N")) || bytes.Contains(out, []byte("Exif")) || !Plain(out) {
				t.Error("it contains its location")
			}
			got, _, err := image.Decode(bytes.NewReader(out))
			if err != nil || got.Bounds().Dx() != 20 || got.Bounds().Dy() != 40 {
				t.Fatalf("%v, %v", got.Bounds(), err)
			}
			top, _, _, _ := got.At(10, 5).RGBA()
			_, _, bottom, _ := got.At(10, 35).RGBA()
			if top>>8 < 150 || bottom>>8 < 150 { // held with its left side up
				t.Errorf("top %v, bottom %v", got.At(10, 5), got.At(10, 35))
			}
			if _, err := newel.ReadPicture("picture", out); err != nil {
				t.Error(err)
			}
		})
	}
}

// TestEveryOrientation: Exif 2.3, 4.6.4 A, Orientation (from memory) defines on
// which visual side the first row and the first column are.
func TestEveryOrientation(t *testing.T) {
	t.Parallel()
	const w, h = 3, 2
	stored := image.NewGray(image.Rect(0, 0, w, h))
	for i := range stored.Pix {
		stored.Pix[i] = byte(10 * (i + 1))
	}
	sides := map[int][2]string{
		1: {"top", "left"}, 2: {"top", "right"}, 3: {"bottom", "right"}, 4: {"bottom", "left"},
		5: {"left", "top"}, 6: {"right", "top"}, 7: {"right", "bottom"}, 8: {"left", "bottom"},
	}
	for way, side := range sides {
		seen := turned(stored, way)
		width, height := seen.Bounds().Dx(), seen.Bounds().Dy()
		for row := range h {
			for column := range w {
				x, y := 0, 0
				place := func(side string, n int) {
					switch side {
					case "left":
						x = n
					case "right":
						x = width - 1 - n
					case "top":
						y = n
					case "bottom":
						y = height - 1 - n
					}
				}
				place(side[0], row)
				place(side[1], column)
				if got, _, _, _ := seen.At(x, y).RGBA(); byte(got>>8) != stored.GrayAt(column, row).Y {
					t.Errorf("way %d: row %d, column %d is not seen at %d, %d", way, row, column, x, y)
				}
			}
		}
	}
}

func TestLargePicturesBecomeSmall(t *testing.T) {
	t.Parallel()
	clear := noise(500, 300)
	for i := 3; i < len(clear.Pix); i += 4 {
		clear.Pix[i] = 0
	}
	for name, c := range map[string]struct {
		body []byte
		kind string
	}{
		"a photo":          {asJPEG(t, noise(1400, 1000)), newel.JPEG},
		"a photo as a PNG": {inPNG(t, noise(500, 300)), newel.JPEG},
		"a drawing":        {inPNG(t, image.NewGray(image.Rect(0, 0, 3000, 10))), newel.PNG},
		"next to nothing":  {inPNG(t, image.NewGray(image.Rect(0, 0, 1, 1))), newel.PNG},
		"a hole":           {inPNG(t, image.NewNRGBA(image.Rect(0, 0, 30, 30))), newel.PNG},
		"seen through":     {inPNG(t, clear), newel.JPEG},
		"long and thin":    {asJPEG(t, noise(3000, 2)), newel.JPEG},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			out, err := Clean("picture", c.body)
			if err != nil {
				t.Fatal(err)
			}
			p, err := newel.ReadPicture("picture", out)
			if err != nil || p.Kind != c.kind || p.Width > sides[0] || p.Height > sides[0] {
				t.Errorf("%s, %d × %d, %v", p.Kind, p.Width, p.Height, err)
			}
			again, err := Clean("picture", out)
			if c.kind == newel.PNG && (err != nil || !bytes.Equal(out, again)) {
				t.Error("cleaning it again changes it")
			}
		})
	}
	out, err := Clean("picture", inPNG(t, clear))
	if err != nil {
		t.Fatal(err)
	}
	whole, err := jpeg.Decode(bytes.NewReader(out))
	if r, _, _, _ := whole.At(5, 5).RGBA(); err != nil || r>>8 < 250 {
		t.Errorf("transparent pixels are not white: %v, %v", whole.At(5, 5), err)
	}
}

// TestRefusedPictures: a picture whose header exceeds a limit is not decoded.
func TestRefusedPictures(t *testing.T) {
	t.Parallel()
	huge := inPNG(t, image.NewGray(image.Rect(0, 0, 1, 1)))
	binary.BigEndian.PutUint32(huge[16:], 60_000)
	binary.BigEndian.PutUint32(huge[20:], 60_000)
	binary.BigEndian.PutUint32(huge[29:], crc32.ChecksumIEEE(huge[12:29]))
	photo := asJPEG(t, noise(60, 60))
	passes := slices.Clone(photo) // more than one pass would take more memory
	frame := bytes.Index(passes, []byte{0xff, sof0})
	passes[frame+1] = 0xc2
	binary.BigEndian.PutUint16(passes[frame+5:], 4000)
	binary.BigEndian.PutUint16(passes[frame+7:], 4000)
	var moving bytes.Buffer
	if err := gif.Encode(&moving, image.NewGray(image.Rect(0, 0, 2, 2)), nil); err != nil {
		t.Fatal(err)
	}
	for name, c := range map[string]struct {
		body []byte
		key  string
	}{
		"nothing":        {nil, "picture.upload_kind"},
		"a drawing":      {[]byte("<svg/>"), "picture.upload_kind"},
		"a GIF":          {moving.Bytes(), "picture.upload_kind"},
		"a bomb":         {huge, "picture.upload_pixels"},
		"many passes":    {passes, "picture.upload_pixels"},
		"half a photo":   {photo[:len(photo)/2], "picture.broken"},
		"half a drawing": {inPNG(t, noise(9, 9))[:100], "picture.broken"},
		"too much":       {make([]byte, MaxUpload+1), "picture.upload_large"},
	} {
		_, err := Clean("picture", c.body)
		var invalid *newel.Invalid
		if !errors.As(err, &invalid) || invalid.Problems[0].Key != c.key || invalid.Problems[0].Field != "picture" {
			t.Errorf("%s: %v, want %s", name, err, c.key)
		}
	}
}

func TestPlain(t *testing.T) {
	t.Parallel()
	drawing, photo := inPNG(t, noise(3, 3)), asJPEG(t, noise(3, 3))
	webP := func(chunk string) []byte {
		b := append([]byte("RIFF\x00\x00\x00\x00WEBP"), chunk...)
		binary.LittleEndian.PutUint32(b[4:], uint32(len(b)-8))
		return b
	}
	for name, c := range map[string]struct {
		body  []byte
		plain bool
	}{
		"PNG":                   {drawing, true},
		"PNG with words":        {withChunk(drawing, "iTXt", "x"), false},
		"PNG with a tail":       {append(slices.Clone(drawing), 0), false},
		"PNG without its end":   {drawing[:len(drawing)-12], false},
		"JPEG":                  {photo, true},
		"JPEG of JFIF":          {withSegment(photo, 0xe0, "JFIF\x00\x01\x01"), true},
		"JPEG with a profile":   {withSegment(photo, 0xe2, "ICC_PROFILE\x00\x01\x01"), true},
		"JPEG with a second":    {withSegment(photo, 0xe2, "MPF\x00"), false},
		"JPEG with a tail":      {append(slices.Clone(photo), photo...), false},
		"JPEG cut off":          {photo[:len(photo)-2], false},
		"WebP":                  {webP("VP8L\x03\x00\x00\x00abc\x00"), true},
		"WebP with a place":     {webP("VP8L\x02\x00\x00\x00abEXIF\x00\x00\x00\x00"), false},
		"WebP with extra data":  {webP("VP8L\xff\x00\x00\x00ab"), false},
		"none of these formats": {[]byte("GIF89a"), false},
	} {
		if Plain(c.body) != c.plain {
			t.Errorf("%s: plain %v", name, !c.plain)
		}
	}
}

// FuzzClean: for any bytes the result is a plain picture or an error.
func FuzzClean(f *testing.F) {
	f.Add([]byte("\x89PNG\r\n\x1a\n"))
	f.Add([]byte{0xff, 0xd8, 0xff, 0xe1, 0, 9, 'E', 'x', 'i', 'f', 0, 0, 1})
	f.Fuzz(func(t *testing.T, body []byte) {
		Plain(body)
		orientation(body)
		if out, err := Clean("picture", body); err == nil && !Plain(out) {
			t.Error("the result contains more than the picture")
		}
	})
}

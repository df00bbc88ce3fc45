package programfile

import (
	"archive/zip"
	"bytes"
	"image"
	"image/png"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"newel/internal/newel"
	"newel/internal/program"
)

func drawn(t *testing.T, width int) newel.Picture {
	t.Helper()
	var b bytes.Buffer
	if err := png.Encode(&b, image.NewGray(image.Rect(0, 0, width, 1))); err != nil {
		t.Fatal(err)
	}
	p, err := newel.ReadPicture("picture", b.Bytes())
	if err != nil {
		t.Fatal(err)
	}
	return p
}

func illustrated(pictures ...newel.Picture) program.Document {
	d := program.Document{Format: program.DocumentFormat, Title: "Shoes", Strands: []program.Strand{{Key: "a"}}}
	for i, p := range pictures {
		ref := p.Ref("a shoe")
		d.Strands[0].Steps = append(d.Strands[0].Steps, program.Step{Key: "s" + string(rune('1'+i)), Picture: &ref})
	}
	return d
}

func TestZipRoundTrip(t *testing.T) {
	t.Parallel()
	one, two := drawn(t, 1), drawn(t, 2)
	d := illustrated(one, two, one)
	var first, second bytes.Buffer
	for _, w := range []*bytes.Buffer{&first, &second} {
		if err := ExportZip(w, d, []newel.Picture{two, one, drawn(t, 9)}); err != nil {
			t.Fatal(err)
		}
	}
	if !bytes.Equal(first.Bytes(), second.Bytes()) {
		t.Error("the same program produces different files")
	}
	again, pictures, problems := ParseZip(first.Bytes())
	if len(problems) > 0 || len(pictures) != 2 {
		t.Fatalf("%v, %d pictures", problems, len(pictures))
	}
	same(t, d, again)
	for _, p := range pictures {
		want := one
		if p.Width == 2 {
			want = two
		}
		if diff := cmp.Diff(want, p); diff != "" {
			t.Error(diff)
		}
	}
}

// zipped returns a zip of alternating names and bodies.
func zipped(t *testing.T, entries ...string) []byte {
	t.Helper()
	var b bytes.Buffer
	z := zip.NewWriter(&b)
	for i := 0; i+1 < len(entries); i += 2 {
		f, err := z.Create(entries[i])
		if err != nil {
			t.Fatal(err)
		}
		if _, err := f.Write([]byte(entries[i+1])); err != nil {
			t.Fatal(err)
		}
	}
	if err := z.Close(); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

func TestRefusedZips(t *testing.T) {
	t.Parallel()
	p := drawn(t, 1)
	program, own := string(Export(illustrated(p))), "pictures/"+p.SHA256+".png"
	none := string(Export(illustrated()))
	said, err := newel.ReadPicture("picture", append(slices.Clone(p.Body), "51 30 N, 0 7 W"...))
	if err != nil {
		t.Fatal(err)
	}
	var many []string
	for i := range maxPictures + 2 {
		many = append(many, "pictures/"+strings.Repeat("a", i), "")
	}
	for _, c := range []struct {
		name, key string
		field     string // that the problem is about
		zip       []byte
	}{
		{"no zip", "file.not_zip", "", []byte(program)},
		{"no program", "file.zip_no_program", "", zipped(t, own, string(p.Body))},
		{"an invalid program", "file.unknown", "titel", zipped(t, zipProgram, program+"titel: x\n")},
		{"a picture is missing", "file.zip_missing", "", zipped(t, zipProgram, program)},
		{"a picture that no step shows", "file.zip_stranger", own, zipped(t, zipProgram, none, own, string(p.Body))},
		{"a picture with a different name", "file.zip_stranger", "pictures/shoe.png", zipped(t, zipProgram, program, "pictures/shoe.png", string(p.Body))},
		{"a different picture under its name", "file.zip_stranger", own, zipped(t, zipProgram, program, own, string(drawn(t, 2).Body))},
		{"metadata beside the picture", "file.zip_beside", "pictures/" + said.SHA256 + ".png", zipped(t, zipProgram, string(Export(illustrated(said))), "pictures/"+said.SHA256+".png", string(said.Body))},
		{"no picture", "file.zip_picture", own, zipped(t, zipProgram, program, own, "<svg/>")},
		{"outside the folder", "file.zip_entry", "../" + own, zipped(t, zipProgram, program, "../"+own, string(p.Body))},
		{"further in", "file.zip_entry", "pictures/x/" + p.SHA256 + ".png", zipped(t, zipProgram, program, "pictures/x/"+p.SHA256+".png", string(p.Body))},
		{"something else", "file.zip_entry", "notes.txt", zipped(t, zipProgram, program, "notes.txt", "x")},
		{"twice", "file.zip_entry", zipProgram, zipped(t, zipProgram, program, zipProgram, program)},
		{"a high compression ratio", "file.zip_entry", own, zipped(t, zipProgram, program, own, strings.Repeat("\x00", newel.MaxPicture+1))},
		{"a program without end", "file.zip_entry", zipProgram, zipped(t, zipProgram, "newel_program: 1\n"+strings.Repeat("#\n", MaxFile))},
		{"too many", "file.too_many", "", zipped(t, many...)},
		{"too large", "file.too_large", "", make([]byte, MaxZip+1)},
	} {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			_, _, problems := ParseZip(c.zip)
			if len(problems) == 0 || problems[0].Key != c.key || problems[0].Field != c.field {
				t.Errorf("%v, want %s about %s", problems, c.key, c.field)
			}
		})
	}
}

package programfile

import (
	"archive/zip"
	"bytes"
	"fmt"
	"io"
	"maps"
	"path"
	"slices"
	"strings"
	"time"

	"newel/internal/newel"
	"newel/internal/picture"
	"newel/internal/program"
)

// In a zip, the program is at the top level and the pictures are in a folder,
// named by the SHA-256 of their bytes.
const (
	zipProgram  = "program.yaml"
	zipPictures = "pictures"
)

// Limits of a zip. newel limits the size of a picture.
const (
	MaxZip      = 32 << 20 // bytes, compressed
	maxPictures = 500
	maxUnpacked = 64 << 20 // bytes, uncompressed
)

var extensions = map[string]string{newel.PNG: ".png", newel.JPEG: ".jpg", newel.WebP: ".webp"}

// zipTime is the time of every entry, so that the same program produces the
// same bytes. It is the earliest time that a zip can represent.
var zipTime = time.Date(1980, 1, 1, 0, 0, 0, 0, time.UTC)

// ExportZip writes the program with the pictures that it shows. A picture
// missing from pictures is omitted, but the program still refers to it.
func ExportZip(w io.Writer, d program.Document, pictures []newel.Picture) error {
	z := zip.NewWriter(w)
	files := map[string][]byte{zipProgram: Export(d)}
	shown := picturesOf(&d)
	for _, p := range pictures {
		if _, is := shown[p.SHA256]; is {
			files[path.Join(zipPictures, p.SHA256+extensions[p.Kind])] = p.Body
		}
	}
	// "program.yaml" sorts after "pictures/…"; readers go by name, not
	// position.
	for _, name := range slices.Sorted(maps.Keys(files)) {
		f, err := z.CreateHeader(&zip.FileHeader{Name: name, Method: zip.Deflate, Modified: zipTime})
		if err != nil {
			return fmt.Errorf("adding %s to a zip: %w", name, err)
		}
		if _, err := f.Write(files[name]); err != nil {
			return fmt.Errorf("writing %s to a zip: %w", name, err)
		}
	}
	if err := z.Close(); err != nil {
		return fmt.Errorf("closing a zip: %w", err)
	}
	return nil
}

// picturesOf returns the pictures of all steps by file name.
func picturesOf(d *program.Document) map[string]newel.PictureRef {
	out := map[string]newel.PictureRef{}
	for i := range d.Strands {
		for j := range d.Strands[i].Steps {
			for _, ref := range d.Strands[i].Steps[j].Pictures() {
				out[ref.SHA256] = ref
			}
		}
	}
	return out
}

// ParseZip parses such a zip. Every picture is checked by its bytes. A picture
// that the program does not show is a problem, and so is a missing one.
func ParseZip(packed []byte) (program.Document, []newel.Picture, []Problem) {
	r := &reader{keys: map[string]bool{}}
	fail := func(field, key string, args ...any) (program.Document, []newel.Picture, []Problem) {
		r.add(nil, field, key, args...)
		return program.Document{}, nil, r.problems
	}
	if len(packed) > MaxZip {
		return fail("", "file.too_large", "limit", MaxZip>>10)
	}
	z, err := zip.NewReader(bytes.NewReader(packed), int64(len(packed)))
	if err != nil {
		return fail("", "file.not_zip")
	}
	if len(z.File) > maxPictures+1 {
		return fail("", "file.too_many", "limit", maxPictures)
	}
	files, problem := unpacked(z)
	if problem != "" {
		return fail(problem, "file.zip_entry", "name", shortened(problem))
	}
	program, has := files[zipProgram]
	if !has {
		return fail("", "file.zip_no_program", "name", zipProgram)
	}
	d, problems := Parse(program)
	if len(problems) > 0 {
		return d, nil, problems
	}
	delete(files, zipProgram)
	pictures := r.pictures(files, picturesOf(&d))
	return d, pictures, r.problems
}

// unpacked reads all entries, up to their maximum size. It returns the name of
// the first invalid entry.
func unpacked(z *zip.Reader) (files map[string][]byte, problem string) {
	files, left := map[string][]byte{}, int64(maxUnpacked)
	for _, f := range z.File {
		limit := int64(newel.MaxPicture)
		if f.Name == zipProgram {
			limit = MaxFile
		}
		if _, twice := files[f.Name]; twice || f.Name != zipProgram && path.Dir(f.Name) != zipPictures || !f.Mode().IsRegular() {
			return nil, f.Name
		}
		body, ok := unpack(f, min(limit, left))
		if !ok {
			return nil, f.Name
		}
		left -= int64(len(body))
		files[f.Name] = body
	}
	return files, ""
}

// unpack reads one entry. It does not trust the declared size.
func unpack(f *zip.File, limit int64) ([]byte, bool) {
	in, err := f.Open()
	if err != nil {
		return nil, false
	}
	defer in.Close()
	body, err := io.ReadAll(io.LimitReader(in, limit+1))
	return body, err == nil && int64(len(body)) <= limit
}

func (r *reader) pictures(files map[string][]byte, shown map[string]newel.PictureRef) []newel.Picture {
	var out []newel.Picture
	for _, name := range slices.Sorted(maps.Keys(files)) {
		p, err := newel.ReadPicture(name, files[name])
		switch ref, is := shown[p.SHA256]; {
		case err != nil:
			r.add(nil, name, "file.zip_picture", "name", shortened(name))
		case !picture.Plain(files[name]):
			r.add(nil, name, "file.zip_beside", "name", shortened(name))
		case !is, name != path.Join(zipPictures, p.SHA256+extensions[p.Kind]), ref.Type != p.Kind, ref.Size != len(p.Body):
			r.add(nil, name, "file.zip_stranger", "name", shortened(name))
		default:
			out = append(out, p)
			delete(shown, p.SHA256)
		}
	}
	for _, sum := range slices.Sorted(maps.Keys(shown)) {
		r.add(nil, "", "file.zip_missing", "name", shortened(strings.TrimSpace(sum)))
	}
	return out
}

package httpd

import (
	"archive/zip"
	"bytes"
	"image"
	"image/color"
	"image/jpeg"
	"net/http"
	"slices"
	"strings"
	"testing"

	"newel/internal/fixture"
	"newel/internal/htmlcheck"
	"newel/internal/picture"
	"newel/internal/programfile"
)

// photo returns a JPEG whose metadata hold a location.
func photo(t *testing.T) string {
	t.Helper()
	p := image.NewRGBA(image.Rect(0, 0, 60, 40))
	for i := range p.Pix {
		p.Pix[i] = byte(i * i)
	}
	p.SetRGBA(0, 0, color.RGBA{R: 255, A: 255})
	var b bytes.Buffer
	if err := jpeg.Encode(&b, p, nil); err != nil {
		t.Fatal(err)
	}
	const where = "51 30 N, 0 7 W"
	return string(slices.Concat(b.Bytes()[:2], []byte{0xff, 0xfe, 0, byte(len(where) + 2)}, []byte(where), b.Bytes()[2:]))
}

// TestPicturesPage checks that a picture is added to a draft's target, shown,
// given another description and removed, with errors at its own form.
func TestPicturesPage(t *testing.T) {
	t.Parallel()
	s := newSite(t)
	v := s.Publish(t, fixture.WhichCup())
	lead, program := s.as(s.Lead), "/programs/"+v.ProgramID.String()
	lead.post(program+"/revise", nil)
	step := v.Document.Strands[0].Steps[0]
	target := step.Targets[0]
	to, onPage := program+"/draft/pictures", "?step="+step.Key
	lead.get(to+onPage).want(http.StatusOK).check(htmlcheck.Count(".picturerow", len(step.Targets)+1), htmlcheck.Count(".pictureframe img", 0))
	if lead.get(program+"/draft?step="+step.Key).attr(`button[value^="pictures:"]`, "value") != "pictures:"+step.Key {
		t.Error("the editor has no link to it")
	}
	of := []string{"step", step.Key, "target", target.Key}
	again := lead.upload(to, "picture", []byte("<svg/>"), append(of, "alt", "what is seen")...).want(http.StatusUnprocessableEntity).check(
		htmlcheck.Count(".problems", 1), htmlcheck.In(".picturerow .problems", htmlcheck.HasText("PNG or a JPEG")))
	if typed := again.attr("#f-alt-"+target.Key, "value"); typed != "what is seen" {
		t.Errorf("what was typed came back as %q", typed)
	}
	lead.upload(to, "picture", nil, append(of, "alt", "words without a picture")...).want(http.StatusUnprocessableEntity).check(htmlcheck.In(".problems", htmlcheck.HasText("Choose a picture")))
	lead.upload(to, "picture", []byte(photo(t)), of...).want(http.StatusUnprocessableEntity).check(htmlcheck.In(".problems li"))
	lead.upload(to, "picture", bytes.Repeat([]byte{0xff}, picture.MaxUpload+2), append(of, "alt", "a photo")...).want(http.StatusUnprocessableEntity).check(htmlcheck.In(".problems", htmlcheck.HasText("16 MB")))

	lead.upload(to, "picture", []byte(photo(t)), append(of, "alt", "a photo")...).leads(to + onPage)
	shown := lead.get(to + onPage).want(http.StatusOK).check(htmlcheck.Count(".pictureframe img", 1))
	src := shown.attr(".pictureframe img", "src")
	kept := lead.get(src).want(http.StatusOK)
	if kept.header.Get("Content-Type") != "image/jpeg" || strings.Contains(kept.body, "51 30 N") || !picture.Plain([]byte(kept.body)) {
		t.Errorf("%s of %d bytes is stored with its location", kept.header.Get("Content-Type"), len(kept.body))
	}
	if lead.get(program+"/draft?step="+step.Key).attr(".steppictures img", "src") != src {
		t.Error("the editor does not show it")
	}
	lead.post(to, map[string][]string{"step": {step.Key}, "target": {target.Key}, "alt": {"a red cup"}}).leads(to + onPage)
	if alt := lead.get(to+onPage).attr(".pictureframe img", "alt"); alt != "a red cup" {
		t.Errorf("it is described as %q", alt)
	}
	lead.post(to, map[string][]string{"step": {step.Key}, "target": {target.Key}, "do": {"drop"}}).leads(to + onPage)
	lead.get(to + onPage).check(htmlcheck.Count(".pictureframe img", 0))
	lead.post(to, map[string][]string{"step": {"nowhere"}, "do": {"drop"}}).want(http.StatusNotFound)
}

// TestProgramExportAndImportRoundTrip checks that a program exported with a
// picture, imported elsewhere and exported again is identical, as are all
// starters.
func TestProgramExportAndImportRoundTrip(t *testing.T) {
	t.Parallel()
	s := newSite(t)
	there := fixture.Clinic(t, s.DB)
	v := s.Publish(t, fixture.WhichCup())
	here, elsewhere, program := s.as(s.Lead), s.as(there.Lead), "/programs/"+v.ProgramID.String()
	here.post(program+"/revise", nil)
	step := v.Document.Strands[0].Steps[0]
	here.upload(program+"/draft/pictures", "picture", []byte(photo(t)), "step", step.Key, "target", step.Targets[0].Key, "alt", "a cup").want(http.StatusSeeOther)
	here.post(program+"/draft", map[string][]string{"do": {"publish"}, "confirmed": {"yes"}, "rev": {"2"}}).leads(program)

	packed := here.get(program + "/export?as=zip").want(http.StatusOK)
	inside, err := zip.NewReader(strings.NewReader(packed.body), int64(len(packed.body)))
	if err != nil || len(inside.File) != 2 {
		t.Fatalf("%v, want the program and a picture", err)
	}
	draft := elsewhere.upload("/programs/import", "file", []byte(packed.body)).want(http.StatusSeeOther).location
	moved := strings.TrimSuffix(draft, "/draft")
	if got := elsewhere.get(moved + "/export?as=zip").want(http.StatusOK).body; got != packed.body {
		t.Errorf("the zip has %d bytes here and %d there", len(packed.body), len(got))
	}
	if here, there := here.get(program+"/export").body, elsewhere.get(moved+"/export").body; here != there {
		t.Errorf("here:\n%s\nthere:\n%s", here, there)
	}
	sum := strings.TrimSuffix(strings.TrimPrefix(inside.File[0].Name, "pictures/"), ".jpg")
	for _, b := range []*browser{here, elsewhere} {
		b.get("/phone/pictures/" + sum).want(http.StatusOK)
	}

	starters, err := programfile.Starters()
	if err != nil {
		t.Fatal(err)
	}
	for _, starter := range starters {
		file := string(programfile.Export(starter.Document))
		draft := elsewhere.upload("/programs/import", "file", []byte(file)).want(http.StatusSeeOther).location
		if got := elsewhere.get(strings.TrimSuffix(draft, "draft") + "export").want(http.StatusOK).body; got != file {
			t.Errorf("%s comes out as\n%s", starter.Name, got)
		}
	}
}

package httpd

import (
	"bytes"
	"mime/multipart"
	"net/http"
	"net/http/httptest"
	"net/url"
	"strings"
	"testing"

	"newel/internal/fixture"
	"newel/internal/htmlcheck"
	"newel/internal/say"
	"newel/internal/view"
)

// upload sends a file, and other fields as pairs of name and value, as a
// browser does.
func (b *browser) upload(path, name string, file []byte, fields ...string) *reply {
	b.t.Helper()
	var body bytes.Buffer
	form := multipart.NewWriter(&body)
	_ = form.WriteField(view.FormTokenName, say.NewToken())
	for i := 0; i+1 < len(fields); i += 2 {
		_ = form.WriteField(fields[i], fields[i+1])
	}
	part, err := form.CreateFormFile(name, "chosen")
	if err != nil {
		b.t.Fatal(err)
	}
	_, _ = part.Write(file)
	_ = form.Close()
	r := httptest.NewRequest(http.MethodPost, path, &body)
	r.Header.Set("Content-Type", form.FormDataContentType())
	r.Header.Set("Sec-Fetch-Site", "same-origin")
	return b.send(r)
}

func TestProgramFileExportAndImport(t *testing.T) {
	t.Parallel()
	s := newSite(t)
	v := s.Publish(t, fixture.WashingHands())
	lead := s.as(s.Lead)
	for _, as := range []string{"", "?as=zip"} {
		file := lead.get("/programs/" + v.ProgramID.String() + "/export" + as).want(http.StatusOK).body
		path := lead.upload("/programs/import", "file", []byte(file)).want(http.StatusSeeOther).location
		lead.get(path).want(http.StatusOK).check(htmlcheck.Count("li[data-step]", 3), htmlcheck.In("h1", htmlcheck.HasText("Washing hands")))
	}
	lead.upload("/programs/import", "file", []byte("title: no version")).want(http.StatusUnprocessableEntity).check(htmlcheck.In(".problems li", htmlcheck.HasText("newel")))
	lead.upload("/programs/import", "file", []byte("newel_program: 1\nweeks: many")).want(http.StatusUnprocessableEntity).check(
		htmlcheck.In(".problems li", htmlcheck.HasText("Line 2, column 8. weeks: “many” is not a whole number")))
}

func TestLibrarySearchCopyAndArchive(t *testing.T) {
	t.Parallel()
	s := newSite(t)
	v := s.Publish(t, fixture.WashingHands())
	s.Publish(t, fixture.WhichCup())
	lead, program := s.as(s.Lead), "/programs/"+v.ProgramID.String()
	lead.get("/programs").want(http.StatusOK).check(htmlcheck.Count("table.quiet tbody tr", 2))
	lead.get("/programs?q=HANDS").check(htmlcheck.Count("table.quiet tbody tr", 1), htmlcheck.In("tbody", htmlcheck.HasText("Washing hands")))
	lead.get("/programs?q=nothing").check(htmlcheck.NotIn("table.quiet"))
	copied := lead.post(program+"/copy", nil).want(http.StatusSeeOther).location
	lead.get(copied).want(http.StatusOK).check(htmlcheck.Count("li[data-step]", 3))
	lead.post(program+"/archive", url.Values{"do": {"away"}}).leads(program)
	lead.get(program).check(htmlcheck.In(".now .flag", htmlcheck.HasText("Archived")))
	if text := lead.get("/programs").text("tbody"); strings.Count(text, "Washing hands") != 1 { // the copy alone
		t.Errorf("in the library: %s", text)
	}
	lead.get("/programs?state=archived").check(htmlcheck.Count("table.quiet tbody tr", 1))
	lead.post(program+"/archive", url.Values{"do": {"back"}}).leads(program)
	starter := lead.post("/programs/starters", url.Values{"name": {"stop-and-go"}}).want(http.StatusSeeOther).location
	lead.get(starter).want(http.StatusOK)
	lead.get("/programs/import").want(http.StatusOK).check(htmlcheck.In(".starters li"))
}

func TestSheetForTheFridge(t *testing.T) {
	t.Parallel()
	s := newSite(t)
	v := s.Publish(t, fixture.WashingHands())
	lead, learner := s.as(s.Lead), "/learners/"+s.Home.Learner.String()
	lead.post(learner+"/assign", url.Values{"program": {v.ProgramID.String()}}).leads(learner)
	versions := lead.get("/programs/" + v.ProgramID.String() + "/versions").want(http.StatusOK)
	sheet := lead.get(versions.attr(".versionlearners a", "href")+"/sheet").want(http.StatusOK).check(
		htmlcheck.Count(".ticks tbody tr", 5), htmlcheck.In(".stopline"), htmlcheck.In(".sheetname"))
	if words := strings.Fields(sheet.text(".sheetname")); len(words) != 2 {
		t.Errorf("it is called %v", words)
	}
}

package httpd

import (
	"errors"
	"net/http"
	"net/url"
	"strconv"
	"strings"

	"newel/internal/app"
	"newel/internal/newel"
	"newel/internal/view"
)

func (s *Server) draft(w http.ResponseWriter, r *http.Request) error {
	id, err := pathID[newel.ProgramID](r, "program")
	if err != nil {
		return err
	}
	v, err := s.app.Draft(r.Context(), mustActor(r), id)
	if err != nil {
		return err
	}
	m := s.draftPage(r, v, v.Draft.Document.Sheet(), v.Draft.Rev)
	m.Problems, m.Looks = s.findings(r, v.Findings)
	m.Told = r.URL.Query().Has("check")
	return s.showDraft(w, r, http.StatusOK, m)
}

func (s *Server) showDraft(w http.ResponseWriter, r *http.Request, status int, m view.DraftPage) error {
	return s.page(w, r, status, page{Title: m.Title, Section: "library"}, view.Draft(m))
}

func (s *Server) draftPage(r *http.Request, v app.DraftView, sheet newel.Sheet, rev int) view.DraftPage {
	path := "/programs/" + v.Program.ID.String()
	m := view.DraftPage{
		Token: newToken(), Path: path + "/draft", Program: path, Title: v.Program.Title, Rev: rev,
		MayPush: mustActor(r).Can(newel.PublishProgram), Sheet: sheet, Published: v.Published,
	}
	m.Saved = "Saved " + s.printer(r).Day(dayOf(v.Draft.UpdatedAt))
	if v.UpdatedBy != "" {
		m.Saved += " by " + v.UpdatedBy
	}
	m.Saved += "."
	return m
}

// findings puts what Check said beside the fields, the first of each.
func (s *Server) findings(r *http.Request, findings []newel.Finding) (problems, looks map[string]string) {
	problems, looks = map[string]string{}, map[string]string{}
	for _, f := range findings {
		into := problems
		if f.Severity == newel.WorthALook {
			into = looks
		}
		if _, told := into[f.Field]; !told {
			into[f.Field] = s.printer(r).Problem(f.Problem)
		}
	}
	return problems, looks
}

// maxSheetSteps bounds what one form may bring; no program has nearly as many.
const maxSheetSteps = 500

// sheetOf reads the editor's form. Keys come from the browser and are taken
// only in the form that keys have.
func sheetOf(values url.Values) newel.Sheet {
	sheet := newel.Sheet{Fields: map[string]string{}}
	seen, steps := map[string]bool{}, 0
	fresh := func(key string) bool {
		if !newel.KnownKey(key) || seen[key] {
			return false
		}
		seen[key] = true
		return true
	}
	for _, key := range values["strand"] {
		if !fresh(key) {
			continue
		}
		strand := newel.SheetStrand{Key: key}
		for _, step := range values["steps."+key] {
			if steps < maxSheetSteps && fresh(step) {
				strand.Steps = append(strand.Steps, step)
				steps++
			}
		}
		sheet.Strands = append(sheet.Strands, strand)
	}
	for name := range values {
		sheet.Fields[name] = values.Get(name)
	}
	for _, own := range []string{view.FormTokenName, "rev", "do", "strand"} {
		delete(sheet.Fields, own)
	}
	return sheet
}

// draftEdit is what a button of the editor does on the way, or nil.
func draftEdit(do string) func(*newel.Document) string {
	verb, key, _ := strings.Cut(do, ":")
	at := func(step string) string { return "#step-" + step }
	switch verb {
	case "add-step":
		return func(d *newel.Document) string { return at(d.AddStep(key)) }
	case "remove-step":
		return func(d *newel.Document) string { d.RemoveStep(key); return "#steps-head" }
	case "up":
		return func(d *newel.Document) string { d.MoveStep(key, -1); return at(key) }
	case "down":
		return func(d *newel.Document) string { d.MoveStep(key, 1); return at(key) }
	case "add-role":
		return func(d *newel.Document) string { strand := d.AddStrand(); return at(d.AddStep(strand)) }
	case "remove-role":
		return func(d *newel.Document) string { d.RemoveStrand(key); return "#steps-head" }
	case "save":
		if key != "" {
			return func(*newel.Document) string { return at(key) }
		}
	}
	return nil
}

func (s *Server) saveDraft(w http.ResponseWriter, r *http.Request) error {
	id, err := pathID[newel.ProgramID](r, "program")
	if err != nil {
		return err
	}
	values, form, err := readForm(r)
	if values == nil {
		return err
	}
	in := app.DraftInput{Sheet: sheetOf(values), Edit: draftEdit(values.Get("do"))}
	in.Rev, _ = strconv.Atoi(values.Get("rev")) // none at all is an old one
	publish := values.Get("do") == "publish"
	var location string
	switch {
	case err != nil:
	case publish:
		location, err = s.app.Publish(r.Context(), mustActor(r), form, id, in)
	default:
		location, err = s.app.SaveDraft(r.Context(), mustActor(r), form, id, in)
	}
	if err == nil {
		return see(w, r, location)
	}
	return s.draftRefused(w, r, id, in, err)
}

// draftRefused shows the editor again, with everything as typed.
func (s *Server) draftRefused(w http.ResponseWriter, r *http.Request, id newel.ProgramID, in app.DraftInput, cause error) error {
	var conflict *app.DraftConflict
	problems, invalid := problemTexts(s.printer(r), cause)
	if !invalid && !errors.As(cause, &conflict) {
		return cause
	}
	v, err := s.app.Draft(r.Context(), mustActor(r), id)
	if err != nil {
		return err
	}
	if conflict != nil {
		return s.showDraft(w, r, http.StatusConflict, s.conflictPage(r, v, in, conflict))
	}
	rev := in.Rev
	mine := in.Sheet.Completed(&v.Draft.Document).Document()
	if sameFields(mine.Sheet(), v.Draft.Document.Sheet()) {
		rev = v.Draft.Rev // publishing was refused, but the draft was saved
	}
	m := s.draftPage(r, v, in.Sheet, rev)
	_, m.Looks = s.findings(r, v.Findings)
	m.Problems, m.Told = problems, true
	if problems["form"] != "" {
		m.Conflict = problems["form"]
	}
	return s.showDraft(w, r, http.StatusUnprocessableEntity, m)
}

func sameFields(a, b newel.Sheet) bool {
	if len(a.Strands) != len(b.Strands) {
		return false
	}
	for name, value := range a.Fields {
		if b.Fields[name] != value {
			return false
		}
	}
	return true
}

// conflictPage shows what was typed, and under each field that differs what
// somebody else has saved. Saving again keeps this page's.
func (s *Server) conflictPage(r *http.Request, v app.DraftView, in app.DraftInput, conflict *app.DraftConflict) view.DraftPage {
	mine, theirs := conflict.Mine.Sheet(), conflict.Theirs.Draft.Document.Sheet()
	m := s.draftPage(r, v, in.Sheet, conflict.Theirs.Draft.Rev)
	m.Problems, m.Looks = map[string]string{}, map[string]string{}
	m.Theirs = map[string]string{}
	for name, value := range theirs.Fields {
		if typed, has := mine.Fields[name]; has && typed != value {
			m.Theirs[name] = value
		}
	}
	who := conflict.Theirs.UpdatedBy
	if who == "" {
		who = "Somebody else"
	}
	m.Conflict = who + " saved this draft while you were writing. Nothing of yours is lost: it stands in the fields below, not saved yet. " +
		"Under each field that differs stands what was saved meanwhile. Take over what you want and save: then this page counts."
	if names := onlyThere(mine, theirs); names != "" {
		m.Conflict += " Steps that only the other draft has: " + names + "."
	}
	return m
}

// onlyThere names the steps that the other sheet has and this one has not:
// they would go if this one were saved.
func onlyThere(mine, theirs newel.Sheet) string {
	var names []string
	for _, strand := range theirs.Strands {
		for _, key := range strand.Steps {
			if _, has := mine.Fields[newel.StepField(key, "label")]; !has {
				names = append(names, strings.TrimSpace(theirs.Fields[newel.StepField(key, "label")]+" "+theirs.Fields[newel.StepField(key, "name")]))
			}
		}
	}
	return strings.Join(names, "; ")
}

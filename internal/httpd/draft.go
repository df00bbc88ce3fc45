package httpd

import (
	"encoding/json"
	"errors"
	"maps"
	"net/http"
	"net/url"
	"strconv"
	"strings"

	"newel/internal/app"
	"newel/internal/href"
	"newel/internal/newel"
	"newel/internal/program"
	"newel/internal/say"
	"newel/internal/view"
)

func (s *Server) draft(w http.ResponseWriter, r *http.Request, id newel.ProgramID) error {
	v, err := s.app.Draft(r.Context(), mustActor(r), id)
	if err != nil {
		return err
	}
	return s.showDraft(w, r, http.StatusOK, s.draftPage(r, v, v.Draft.Document.Sheet(), r.URL.Query()))
}

func (s *Server) showDraft(w http.ResponseWriter, r *http.Request, status int, m view.DraftPage) error {
	if m.Pane == view.ProgramPane {
		pick, err := s.skillPick(r, m.Document)
		if err != nil {
			return err
		}
		m.Skills = pick
		if m.HelpScales, err = s.helpPick(r); err != nil {
			return err
		}
	}
	return s.page(w, r, status, page{Title: m.Title, Section: "library"}, view.Draft(m))
}

// draftPage shows one pane of the editor: the one in the query, if that step or
// role exists.
func (s *Server) draftPage(r *http.Request, v app.DraftView, sheet program.Sheet, query url.Values) view.DraftPage {
	m := say.DraftPage(s.printer(r), mustActor(r), v, sheet, query, s.now())
	if m.Pane == view.StepPane {
		m.Criterion = s.criterionBox(r, m)
	}
	return m
}

// notFields are names that the editor's form uses for itself.
var notFields = []string{view.FormTokenName, "rev", "do", "strand", "pane", "confirmed", "copy_as", "need_pick", "teach_pick", "teach_step", "scale_pick"}

// sheetOf reads the fields of a form. The draft, not the form, determines which
// steps exist; buttons change it.
func sheetOf(values url.Values) program.Sheet {
	sheet := program.Sheet{Fields: map[string]string{}}
	for name := range values {
		if box, is := strings.CutPrefix(name, view.BoxPrefix); is {
			sheet.Fields[box] = values.Get(box)
		} else if !strings.HasPrefix(name, critPrefix) {
			sheet.Fields[name] = values.Get(name)
		}
	}
	for _, own := range notFields {
		delete(sheet.Fields, own)
	}
	return sheet
}

func (s *Server) saveDraft(w http.ResponseWriter, r *http.Request, id newel.ProgramID) error {
	f, err := readForm(r)
	values := f.Values
	if values == nil {
		return err
	}
	do, pane := values.Get("do"), paneQuery(values.Get("pane"))
	in := app.DraftInput{Sheet: sheetOf(values), Edit: draftEdit(do, pane, values), Piecemeal: wantsJSON(r)}
	in.Rev, _ = strconv.Atoi(values.Get("rev")) // a missing revision counts as outdated
	s.crit(&in, do, values)
	if name, is := strings.CutPrefix(do, "theirs:"); is {
		delete(in.Sheet.Fields, name)
	}
	if do == "take-scale" && err == nil {
		in.Edit, err = s.takeScale(r, values)
	}
	if key, is := strings.CutPrefix(do, "hush:"); is {
		s.hideHint(w, r, key)
	}
	if values.Get("confirmed") != "" {
		in.Confirmed = s.printer(r).Text("draft.confirm")
	}
	var out app.DraftSaved
	switch {
	case err != nil:
	case do == "publish":
		out.Location, err = s.app.Publish(r.Context(), mustActor(r), f.token, id, in)
	case do == "hand-in":
		out.Location, err = s.app.SubmitDraft(r.Context(), mustActor(r), f.token, id, in)
	default:
		out, err = s.app.SaveDraft(r.Context(), mustActor(r), f.token, id, in)
	}
	switch {
	case err != nil:
		return s.draftRefused(w, r, id, in, do, pane, err)
	case wantsJSON(r) && out.View.Draft.Rev > 0:
		return s.draftJSON(w, r, http.StatusOK, out, pane)
	case in.Edit == nil && out.Location == href.Draft.To(id):
		return see(w, r, out.Location+pane+"#pane")
	}
	return see(w, r, out.Location)
}

func wantsJSON(r *http.Request) bool {
	return strings.Contains(r.Header.Get("Accept"), "application/json")
}

// paneQuery accepts the query of a pane only in its canonical form.
func paneQuery(text string) string {
	query, err := url.ParseQuery(strings.TrimPrefix(text, "?"))
	if err != nil {
		return ""
	}
	for _, pane := range []string{view.StepPane, view.RolePane} {
		if key := query.Get(pane); program.KnownKey(key) {
			return view.PaneQuery(pane, key)
		}
	}
	if query.Get("pane") == view.PublishPane {
		return view.PaneQuery(view.PublishPane, "")
	}
	return ""
}

// draftAnswer is the answer to the script.
type draftAnswer struct {
	Rev       int               `json:"rev"`
	Saved     string            `json:"saved"`
	Token     string            `json:"token"`
	Fields    map[string]string `json:"fields"`    // of the pane, as stored
	Problems  map[string]string `json:"problems"`  // of the pane, by field
	Looks     map[string]string `json:"looks"`     // suggestions for the pane, by field
	Conflicts map[string]string `json:"conflicts"` // stored values of fields in conflict
	Others    []string          `json:"others"`    // fields that someone else has changed
	List      string            `json:"list"`      // the list of steps
	History   string            `json:"history"`   // the undo and redo buttons
}

func (s *Server) draftJSON(w http.ResponseWriter, r *http.Request, status int, out app.DraftSaved, pane string) error {
	query, _ := url.ParseQuery(strings.TrimPrefix(pane, "?"))
	m := s.draftPage(r, out.View, out.View.Draft.Document.Sheet(), query)
	a := draftAnswer{
		Rev: m.Rev, Saved: m.Saved, Token: m.Token, Fields: map[string]string{}, Problems: map[string]string{}, Looks: map[string]string{},
		Conflicts: map[string]string{}, Others: out.Others,
	}
	prefix := map[string]string{view.StepPane: "steps." + m.Key + ".", view.RolePane: "strands." + m.Key + "."}[m.Pane]
	for name, value := range m.Sheet.Fields {
		if prefix != "" && strings.HasPrefix(name, prefix) || prefix == "" && !strings.Contains(name, ".") {
			a.Fields[name] = value
		}
	}
	for name := range a.Fields {
		if text := m.Problems[name]; text != "" {
			a.Problems[name] = text
		}
		if text := m.Beside[name].Look; text != "" {
			a.Looks[name] = text
		}
	}
	for _, c := range out.Conflicts {
		a.Conflicts[c.Name] = c.Theirs
	}
	var err error
	if a.List, err = markup(r, view.DraftList(m)); err != nil {
		return err
	}
	if a.History, err = markup(r, view.DraftHistory(m)); err != nil {
		return err
	}
	body, err := json.Marshal(a)
	if err != nil {
		return err
	}
	w.Header().Set("Content-Type", "application/json")
	w.WriteHeader(status)
	_, err = w.Write(body)
	return err
}

// draftRefused shows the editor again, with everything as typed.
func (s *Server) draftRefused(w http.ResponseWriter, r *http.Request, id newel.ProgramID, in app.DraftInput, do, pane string, cause error) error {
	var conflict *app.DraftConflict
	problems, invalid := problemTexts(s.printer(r), cause)
	if !invalid && !errors.As(cause, &conflict) {
		return cause
	}
	v, err := s.app.Draft(r.Context(), mustActor(r), id)
	if err != nil {
		return err
	}
	query, _ := url.ParseQuery(strings.TrimPrefix(pane, "?"))
	if conflict != nil {
		return s.showDraft(w, r, http.StatusConflict, s.conflictPage(r, v, conflict, query))
	}
	// The fields show the refused values as typed; publishing has saved them.
	sheet := v.Draft.Document.Sheet()
	sheet.Fields = maps.Clone(sheet.Fields)
	maps.Copy(sheet.Fields, in.Sheet.Fields)
	m := s.draftPage(r, v, sheet, query)
	m.Told = do != "publish"
	if do != "publish" {
		m.Rev = in.Rev
	}
	maps.Copy(m.Problems, problems)
	if problems["form"] != "" {
		m.Conflict = problems["form"]
	}
	return s.showDraft(w, r, http.StatusUnprocessableEntity, m)
}

// conflictPage shows what was typed, with the stored value at each field in
// conflict. Saving again keeps the page's values.
func (s *Server) conflictPage(r *http.Request, v app.DraftView, conflict *app.DraftConflict, query url.Values) view.DraftPage {
	m := s.draftPage(r, v, conflict.Mine, query)
	say.FillConflict(&m, conflict)
	return m
}

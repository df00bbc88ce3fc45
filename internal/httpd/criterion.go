package httpd

import (
	"encoding/json"
	"net/http"
	"net/url"
	"slices"
	"strings"

	"newel/internal/app"
	"newel/internal/criterion"
	"newel/internal/href"
	"newel/internal/newel"
	"newel/internal/program"
	"newel/internal/say"
	"newel/internal/view"
	"newel/internal/writing"
)

// critPrefix is the name prefix of the criterion form's fields, which are not
// fields of the draft.
const critPrefix = "crit-"

// partsOf reads the criterion form.
func partsOf(values url.Values) criterion.Parts {
	get := func(name string) string { return values.Get(critPrefix + name) }
	goal := func(n string) criterion.GoalParts {
		return criterion.GoalParts{
			Form: criterion.GoalForm(get("goal" + n)), Compare: get("compare" + n), Number: get("number" + n), Unit: get("unit" + n), Level: get("level" + n),
		}
	}
	p := criterion.Parts{
		Goal: goal(""), Need: get("need"), Trials: get("trials"), EachTarget: get("each") != "", Only: criterion.Only(get("only")),
		Days: get("days"), People: get("people"), Places: get("places"), Homes: get("homes"), Second: goal("2"),
	}
	if get("window") == "of" {
		p.Of = get("of")
	}
	return p
}

// crit writes the sentence from the form, if that was requested.
func (s *Server) crit(in *app.DraftInput, do string, values url.Values) {
	key, is := strings.CutPrefix(do, "crit-write:")
	if !is || !program.KnownKey(key) {
		return
	}
	parts := partsOf(values)
	in.Sheet.Fields[program.StepField(key, "criterion")] = parts.String()
}

// criterion evaluates a criterion for the script: it fills the form from the
// sentence, or the sentence from the form.
func (s *Server) criterion(w http.ResponseWriter, r *http.Request, id newel.ProgramID) error {
	q := r.URL.Query()
	in := writing.CriterionInput{Step: q.Get("step"), Text: q.Get("text"), Trials: q.Get("trials")}
	if q.Has(critPrefix + "goal") {
		parts := partsOf(q)
		in.Parts = &parts
	}
	v, err := s.app.Criterion(r.Context(), mustActor(r), id, in)
	if err != nil {
		return err
	}
	t := s.printer(r)
	box := say.CriterionBox(t, v, s.hiddenHints(r))
	var answer struct {
		Text    string `json:"text"`
		Read    bool   `json:"read"`
		Problem string `json:"problem"`
		Parts   string `json:"parts"`
		Panel   string `json:"panel"`
	}
	answer.Text, answer.Read = v.Text, v.Criterion != nil
	problem := ""
	if v.Problem != nil {
		problem = t.Problem(*v.Problem)
	}
	if answer.Problem, err = markup(r, view.CriterionProblem(problem)); err != nil {
		return err
	}
	if answer.Parts, err = markup(r, view.CriterionParts(box)); err != nil {
		return err
	}
	if answer.Panel, err = markup(r, view.CriterionPanel(box)); err != nil {
		return err
	}
	body, err := json.Marshal(answer)
	if err != nil {
		return err
	}
	w.Header().Set("Content-Type", "application/json")
	_, err = w.Write(body)
	return err
}

// criterionBox returns the criterion of the open step.
func (s *Server) criterionBox(r *http.Request, m view.DraftPage) *view.CriterionBox {
	_, step := m.Document.Step(m.Key)
	if step == nil {
		return nil
	}
	name := program.StepField(m.Key, "criterion")
	v := s.app.ReadCriterion(m.Document, step, writing.CriterionInput{
		Text: m.Sheet.Fields[name], Trials: m.Sheet.Fields[program.StepField(m.Key, "trials")],
	})
	box := say.CriterionBox(m.T, v, s.hiddenHints(r))
	box.Path = href.StepCriterion(m.Program, m.Key)
	box.Field = view.Field{
		T: m.T, Name: name, Label: m.T.Text("stepfield.criterion"), Hint: m.T.Text("stepfield.criterion.hint"), Value: m.Sheet.Fields[name],
		Error: m.Problems[name], Required: true,
	}
	return &box
}

// hiddenHints returns the keys of the hints that this browser has hidden.
func (s *Server) hiddenHints(r *http.Request) []string {
	return strings.Split(s.cookie(r, hiddenHintsCookie), "-")
}

// maxHiddenHints limits the cookie's length in bytes.
const maxHiddenHints = 400

// hideHint adds the key of a hint to those that this browser has hidden.
func (s *Server) hideHint(w http.ResponseWriter, r *http.Request, key string) {
	if !program.KnownKey(key) || slices.Contains(s.hiddenHints(r), key) {
		return
	}
	value := key
	if before := s.cookie(r, hiddenHintsCookie); before != "" && len(before) < maxHiddenHints {
		value = before + "-" + key
	}
	s.setCookie(w, hiddenHintsCookie, value, 365*24*3600)
}

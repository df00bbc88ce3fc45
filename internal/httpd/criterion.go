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
	"newel/internal/message"
	"newel/internal/newel"
	"newel/internal/program"
	"newel/internal/view"
)

// critPrefix begins the names of the criterion's form; they are no fields of
// the draft.
const critPrefix = "crit-"

// partsOf reads the criterion's form.
func partsOf(values url.Values) criterion.Parts {
	get := func(name string) string { return values.Get(critPrefix + name) }
	goal := func(n string) criterion.GoalParts {
		return criterion.GoalParts{
			Form: criterion.GoalForm(get("goal" + n)), Compare: get("compare" + n), Number: get("number" + n), Unit: get("unit" + n), Level: get("level" + n),
		}
	}
	p := criterion.Parts{
		Goal: goal(""), Need: get("need"), Trials: get("trials"), EachTarget: get("each") != "", Only: criterion.Only(get("only")),
		Days: get("days"), People: get("people"), Places: get("places"), Second: goal("2"),
	}
	if get("window") == "of" {
		p.Of = get("of")
	}
	return p
}

// crit lets the form write the sentence, where that was asked for.
func (s *Server) crit(in *app.DraftInput, do string, values url.Values) {
	key, is := strings.CutPrefix(do, "crit-write:")
	if !is || !program.KnownKey(key) {
		return
	}
	parts := partsOf(values)
	in.Sheet.Fields[program.StepField(key, "criterion")] = parts.String()
}

// criterion reads a criterion for script: the sentence writes the form, or the
// form the sentence.
func (s *Server) criterion(w http.ResponseWriter, r *http.Request) error {
	id, err := pathID[newel.ProgramID](r, "program")
	if err != nil {
		return err
	}
	q := r.URL.Query()
	in := app.CriterionInput{Step: q.Get("step"), Text: q.Get("text"), Trials: q.Get("trials")}
	if q.Has(critPrefix + "goal") {
		parts := partsOf(q)
		in.Parts = &parts
	}
	v, err := s.app.Criterion(r.Context(), mustActor(r), id, in)
	if err != nil {
		return err
	}
	t := s.printer(r)
	box := boxOf(t, v, hushedBy(r))
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

// criterionBox is the criterion of the step that is shown.
func (s *Server) criterionBox(r *http.Request, m view.DraftPage) *view.CriterionBox {
	_, step := m.Document.Step(m.Key)
	if step == nil {
		return nil
	}
	name := program.StepField(m.Key, "criterion")
	v := s.app.ReadCriterion(m.Document, step, app.CriterionInput{
		Text: m.Sheet.Fields[name], Trials: m.Sheet.Fields[program.StepField(m.Key, "trials")],
	})
	box := boxOf(m.T, v, hushedBy(r))
	box.Path = href.StepCriterion(m.Program, m.Key)
	box.Field = view.Field{
		Name: name, Label: m.T.Text("stepfield.criterion"), Hint: m.T.Text("stepfield.criterion.hint"), Value: m.Sheet.Fields[name],
		Error: m.Problems[name], Required: true,
	}
	return &box
}

func boxOf(t *message.Printer, v app.CriterionView, hushed []string) view.CriterionBox {
	box := view.CriterionBox{T: t, Parts: v.Parts, Levels: v.Levels}
	if v.Criterion == nil {
		if box.Parts.Need == "" {
			box.Parts.Need, box.Parts.Goal = "3", criterion.GoalParts{Form: criterion.FormAlone, Compare: criterion.AtLeast.String(), Number: "80"}
		}
		return box
	}
	c := *v.Criterion
	box.Read = c.String()
	if k, ok := c.Goal.LeastCorrect(v.Trials); ok {
		if k == v.Trials {
			box.Means = append(box.Means, t.Text("crit.means_all", "n", v.Trials, "percent", c.Goal.Number.String()))
		} else {
			box.Means = append(box.Means, t.Text("crit.means", "k", k, "n", v.Trials))
		}
	}
	if v.Odds != nil {
		box.Odds = oddsPanel(t, v)
	}
	for _, f := range findingsOn(t, c, v.Checked) {
		if !slices.Contains(hushed, f.Key) {
			box.Findings = append(box.Findings, f)
		}
	}
	return box
}

// shownOdds are the learners of the table, by what they do right.
var shownOdds = []int{60, 70, 80, 90, 95}

// readyPercent is how much a learner does right who is taken to be ready.
const readyPercent = 90

func oddsPanel(t *message.Printer, v app.CriterionView) *view.OddsPanel {
	p := &view.OddsPanel{Curve: view.CurveOf(v.Odds.Percent, v.Odds.Within10, v.Odds.Within20)}
	for _, percent := range shownOdds {
		ten, twenty, expected := v.Odds.At(percent)
		p.Rows = append(p.Rows, view.OddsRow{
			Percent: percentText(percent), Within10: view.Chance(t, ten), Within20: view.Chance(t, twenty), Expected: view.Sessions(t, expected),
		})
	}
	_, _, expected := v.Odds.At(readyPercent)
	p.Ready = t.Text("odds.ready", "sessions", view.Sessions(t, expected))
	p.Assumed = t.Text("odds.assumed", "n", v.Trials)
	if v.Assumed {
		p.Assumed = t.Text("odds.assumed_trials", "n", v.Trials)
	}
	return p
}

// findingsOn are the published findings that bear on a criterion. They were
// read in abstracts and first pages, and are told as that. Sources: Longino et
// al. 2022 (Behav Anal Pract 15:397); Pitts & Hoerger 2021 (Behav Interv
// 36:522); Fuller & Fienup 2018 and McDougale et al. 2020 (both Behav Anal
// Pract).
func findingsOn(t *message.Printer, c criterion.Criterion, checked bool) []view.Published {
	limits := t.Text("finding.limits")
	var out []view.Published
	add := func(key string) {
		out = append(out, view.Published{Key: key, Text: t.Text("finding." + key), Source: t.Text("finding." + key + ".source"), Limits: limits})
	}
	if c.Goal.Measure == criterion.Accuracy && !c.Goal.LowerIsBetter() {
		switch percent := c.Goal.Number.Float64(); {
		case percent < 90:
			add("eighty")
		case percent < 100:
			add("ninety")
		default:
			add("hundred")
		}
	}
	if !checked {
		add("unchecked")
	}
	return out
}

// hushCookie names what somebody does not want to be told again, in this
// browser.
const hushCookie = "newel_hush"

// hushedBy are the keys that a browser named so.
func hushedBy(r *http.Request) []string {
	c, err := r.Cookie(hushCookie)
	if err != nil {
		return nil
	}
	return strings.Split(c.Value, "-")
}

func hush(w http.ResponseWriter, r *http.Request, key string) {
	if !program.KnownKey(key) || slices.Contains(hushedBy(r), key) {
		return
	}
	value := key
	if c, err := r.Cookie(hushCookie); err == nil && c.Value != "" && len(c.Value) < 400 {
		value = c.Value + "-" + key
	}
	http.SetCookie(w, &http.Cookie{
		Name: hushCookie, Value: value, Path: href.Programs, MaxAge: 365 * 24 * 3600, HttpOnly: true, SameSite: http.SameSiteLaxMode, Secure: r.TLS != nil,
	})
}

package httpd

import (
	"encoding/json"
	"net/http"
	"net/http/httptest"
	"net/url"
	"strings"
	"testing"

	"golang.org/x/net/html"

	"newel/internal/criterion"
	"newel/internal/fixture"
	"newel/internal/htmlcheck"
	"newel/internal/newel"
	"newel/internal/program"
	"newel/internal/say"
	"newel/internal/view"
)

// form returns the fields of a form as a browser would send them.
func (p *reply) form(selector string) url.Values {
	p.t.Helper()
	values := url.Values{}
	err := htmlcheck.Run(strings.NewReader(p.body), htmlcheck.In(selector, htmlcheck.Each("input, textarea, select", func(n *html.Node) error {
		name, named := htmlcheck.Attr(n, "name")
		value, _ := htmlcheck.Attr(n, "value")
		kind, _ := htmlcheck.Attr(n, "type")
		_, checked := htmlcheck.Attr(n, "checked")
		switch {
		case !named || (kind == "radio" || kind == "checkbox") && !checked:
			return nil
		case n.Data == "textarea":
			value = textOf(n)
		case n.Data == "select":
			value = selected(n)
		}
		values.Add(name, value)
		return nil
	})))
	if err != nil {
		p.t.Fatal(err)
	}
	return values
}

func textOf(n *html.Node) string {
	var b strings.Builder
	for c := n.FirstChild; c != nil; c = c.NextSibling {
		b.WriteString(c.Data)
	}
	return b.String()
}

func selected(n *html.Node) string {
	var options, chosen []string
	_ = htmlcheck.Each("option", func(o *html.Node) error {
		value, _ := htmlcheck.Attr(o, "value")
		if _, is := htmlcheck.Attr(o, "selected"); is {
			chosen = append(chosen, value)
		}
		options = append(options, value)
		return nil
	})(n)
	for _, list := range [][]string{chosen, options} {
		if len(list) > 0 {
			return list[0]
		}
	}
	return ""
}

// begin starts a program and returns its editor's path.
func begin(b *browser) string {
	b.t.Helper()
	p := b.post("/programs", url.Values{"title": {"Washing hands"}, "skill_area": {"self-care"}})
	p.want(http.StatusSeeOther)
	return p.location
}

// with sets some fields of a form.
func with(values url.Values, pairs ...string) url.Values {
	for i := 0; i+1 < len(pairs); i += 2 {
		values.Set(pairs[i], pairs[i+1])
	}
	return values
}

// stepPath returns the editor's path with a step open, from a redirect.
func stepPath(location string) string {
	path, _, _ := strings.Cut(location, "#")
	return path
}

// stepKeyOf returns the step in an editor path.
func stepKeyOf(location string) string {
	_, key, _ := strings.Cut(stepPath(location), "?step=")
	return key
}

// firstStep opens the first step of a draft and returns its path.
func firstStep(b *browser, path string) string {
	b.t.Helper()
	row := ""
	b.get(path).want(http.StatusOK).check(htmlcheck.Each("li[data-step]", func(n *html.Node) error {
		if key, _ := htmlcheck.Attr(n, "data-step"); row == "" {
			row = key
		}
		return nil
	}))
	return path + "?step=" + row
}

// publishes confirms and publishes.
func publishes(b *browser, path string) *reply {
	b.t.Helper()
	values := b.get(path + "?pane=publish").want(http.StatusOK).form("#draft")
	return b.post(path, with(values, "confirmed", "yes", "do", "publish"))
}

func TestProgramIsWrittenAndPublishedWithoutScript(t *testing.T) {
	t.Parallel()
	s := newSite(t)
	lead := s.as(s.Lead)
	lead.get("/programs").want(http.StatusOK).check(htmlcheck.In(".empty a.btn.solid", htmlcheck.HasAttr("href", "/programs/new")))
	lead.get("/programs/new").want(http.StatusOK).check(htmlcheck.In("form input[name=title]"))
	path := begin(lead)
	prog := strings.TrimSuffix(path, "/draft")
	lead.get(prog).want(http.StatusOK).check(htmlcheck.In("#version-head", htmlcheck.HasText("Not published yet")))
	// The program's own texts; opening a step from the list saves them.
	values := lead.get(path).want(http.StatusOK).check(htmlcheck.Count("li[data-step]", 1)).form("#draft")
	at := firstStep(lead, path)
	first := stepKeyOf(at)
	with(values, "purpose", "Clean hands before food.", "help_levels", "point\nsay\nlight touch (touch)", "materials", "stool\npump soap (fragrance-free)",
		"do", "go:"+first)
	lead.post(path, values).leads(at + "#pane")
	values = lead.get(at).want(http.StatusOK).check(htmlcheck.In("button.steprow[aria-current]")).form("#draft")
	strand := lead.get(at).attr("ol[data-strand]", "data-strand")
	with(values, program.StepField(first, "label"), "B1", program.StepField(first, "name"), "Hang up the towel", program.StepField(first, "trials"), "5",
		program.StepField(first, "criterion"), "3x100%", "do", "add:"+strand+":"+first)
	second := stepKeyOf(lead.post(path, values).want(http.StatusSeeOther).location)
	at = path + "?step=" + second
	values = lead.get(at).check(htmlcheck.Count("li[data-step]", 2)).form("#draft")
	if values.Get(program.StepField(second, "criterion")) != "3x100%" {
		t.Fatalf("not copied from the previous step: %v", values)
	}
	with(values, program.StepField(second, "label"), "B2", program.StepField(second, "name"), "Dry both hands", "do", "up:"+second)
	lead.post(path, values).leads(at + "#pane")
	lead.get(at).check(htmlcheck.In("li[data-step]:first-child", htmlcheck.HasText("Dry both hands")))
	// Undo and redo.
	lead.post(path, with(lead.get(at).form("#draft"), "do", "undo")).leads(at + "#pane")
	lead.get(at).check(htmlcheck.In("li[data-step]:first-child", htmlcheck.HasText("Hang up the towel")))
	lead.post(path, with(lead.get(at).form("#draft"), "do", "redo")).leads(at + "#pane")
	lead.get(at).check(htmlcheck.In("li[data-step]:first-child", htmlcheck.HasText("Dry both hands")))
	// Publishing requires the confirmation.
	values = lead.get(path + "?pane=publish").want(http.StatusOK).form("#draft")
	if text := lead.post(path, with(values, "do", "publish")).want(http.StatusUnprocessableEntity).error("confirmed"); text == "" {
		t.Error("the confirmation is not requested")
	}
	publishes(lead, path).leads(prog)
	page := lead.get(prog).want(http.StatusOK).check(
		htmlcheck.In("h1", htmlcheck.HasText("Washing hands")), htmlcheck.In("#version-head", htmlcheck.HasText("Version 1")),
		htmlcheck.Count("details.stepline", 2), htmlcheck.In(".stair.full"), htmlcheck.In(".warn", htmlcheck.HasText("Light touch only")),
	)
	if text := page.text(".steprows"); strings.Contains(text, "3x") || !strings.Contains(text, "100% independent in 3 sessions in a row") {
		t.Errorf("the trade's shorthand is shown: %s", text)
	}
	lead.get("/programs").check(htmlcheck.In("table.quiet tbody tr", htmlcheck.HasText("version 1")))
	// A revision starts as it was published.
	lead.post(prog+"/revise", nil).leads(path)
	lead.get(path).check(htmlcheck.Count("li[data-step]", 2), htmlcheck.In(".lede", htmlcheck.HasText("version 1 until")))
}

func TestInvalidCriterionIsReportedAtItsField(t *testing.T) {
	t.Parallel()
	s := newSite(t)
	lead := s.as(s.Lead)
	path := begin(lead)
	at := firstStep(lead, path)
	key := stepKeyOf(at)
	values := lead.get(at).form("#draft")
	with(values, program.StepField(key, "label"), "B1", program.StepField(key, "name"), "Towel", program.StepField(key, "trials"), "5",
		program.StepField(key, "criterion"), "80% independent most of the time", "do", "save")
	lead.post(path, values).leads(at + "#pane")
	p := lead.get(at)
	text := errorBeside(p, program.StepField(key, "criterion"))
	if !strings.Contains(text, "most of the time") {
		t.Errorf("it does not say what was not understood: %q", text)
	}
	_, example, _ := strings.Cut(text, "For example: ")
	if _, err := criterion.Parse(example, criterion.Vocabulary{}); err != nil {
		t.Errorf("the example %q is invalid: %v", example, err)
	}
	if got := p.form("#draft").Get(program.StepField(key, "criterion")); got != "80% independent most of the time" {
		t.Errorf("the field lost what was typed: %q", got)
	}
	publishes(lead, path).want(http.StatusUnprocessableEntity).check(htmlcheck.In(".stopping li", htmlcheck.HasText("most of the time")))
	// The form writes the sentence.
	values = p.form("#draft")
	lead.post(path, with(values, "crit-goal", "alone", "crit-compare", "at least", "crit-number", "80", "crit-need", "4", "crit-window", "of", "crit-of", "5",
		"do", "crit-write:"+key))
	p = lead.get(at)
	if got := p.form("#draft").Get(program.StepField(key, "criterion")); got != "80% independent in 4 of the last 5 sessions" {
		t.Errorf("the form wrote %q", got)
	}
	p.check(htmlcheck.In(".critread", htmlcheck.HasText("80% independent in 4 of the last 5 sessions")), htmlcheck.In(".curve svg"), htmlcheck.Count(".oddstable tbody tr", 5))
	publishes(lead, path).leads(strings.TrimSuffix(path, "/draft"))
}

// errorBeside returns the message at the field of this name, whose id may
// contain dots.
func errorBeside(p *reply, name string) string {
	return p.text(`[id="f-` + name + `-error"]`)
}

func TestRefusedFormsKeepTypedText(t *testing.T) {
	t.Parallel()
	s := newSite(t)
	lead, trainee := s.as(s.Lead), s.as(s.Trainee)
	path := begin(lead)
	values := lead.get(path).form("#draft")
	typed := []string{
		"title", strings.Repeat("ü", newel.MaxLine+1), "purpose", "<script>alert(1)</script> & \"so\" 🧼", "cautions", "قل لا، توقف",
		"for_whom", strings.Repeat("long ", newel.MaxNote), "wait_seconds", "five",
	}
	with(values, typed...)
	kept := func(name string, p *reply) {
		t.Helper()
		p.check()
		form := p.form("#draft")
		for i := 0; i+1 < len(typed); i += 2 {
			if got := form.Get(typed[i]); strings.TrimSpace(got) != strings.TrimSpace(typed[i+1]) {
				t.Errorf("%s: %s came back as %.60q", name, typed[i], got)
			}
		}
	}
	stale := url.Values{}
	for k, v := range values {
		stale[k] = v
	}
	lead.post(path, with(values, "do", "go-publish"))
	kept("saved", lead.get(path).want(http.StatusOK))
	lead.post(path, with(lead.get(path).form("#draft"), "if_right", "smile", "do", "save"))
	stale.Set("if_right", "differs")
	kept("someone was first", trainee.post(path, with(stale, "do", "save")).want(http.StatusConflict))
	kept("no token", lead.post(path, with(stale, view.FormTokenName, "")).want(http.StatusUnprocessableEntity))
	stale.Set("say", "a\x00b")
	kept("no text", lead.post(path, with(stale, view.FormTokenName, say.NewToken())).want(http.StatusUnprocessableEntity))
}

func TestConflictShowsBoth(t *testing.T) {
	t.Parallel()
	s := newSite(t)
	lead, trainee := s.as(s.Lead), s.as(s.Trainee)
	path := begin(lead)
	mine, theirs := trainee.get(path).form("#draft"), lead.get(path).form("#draft")
	lead.post(path, with(theirs, "purpose", "the lead's words", "setting", "kitchen", "do", "save")).leads(path + "#pane")
	p := trainee.post(path, with(mine, "purpose", "the trainee's words", "do", "save")).want(http.StatusConflict).check(
		htmlcheck.In(".problems", htmlcheck.HasText(s.Lead.Name+" changed a field")),
		htmlcheck.In("#f-purpose", htmlcheck.HasText("the trainee's words")), htmlcheck.In(".theirs blockquote", htmlcheck.HasText("the lead's words")),
		htmlcheck.In("#f-setting", htmlcheck.HasText("kitchen")), htmlcheck.Count(".theirs", 1),
	)
	// The author may take the other text; having seen it, saving counts.
	form := p.form("#draft")
	trainee.post(path, with(form, "do", "theirs:purpose")).leads(path + "#pane")
	lead.get(path).check(htmlcheck.In("#f-purpose", htmlcheck.HasText("the lead's words")))
	form.Set(view.FormTokenName, say.NewToken())
	trainee.post(path, with(form, "do", "save")).leads(path + "#pane")
	lead.get(path).check(htmlcheck.In("#f-purpose", htmlcheck.HasText("the trainee's words")))
}

func TestTraineeSubmitsButCannotPublish(t *testing.T) {
	t.Parallel()
	s := newSite(t)
	path := begin(s.as(s.Trainee))
	trainee := s.as(s.Trainee)
	p := trainee.get(path+"?pane=publish").want(http.StatusOK).check(htmlcheck.NotIn("button[value=publish]"), htmlcheck.Count("button[value=hand-in]", 1))
	trainee.post(path, with(p.form("#draft"), "do", "publish")).want(http.StatusForbidden)
	trainee.post(path, with(p.form("#draft"), view.FormTokenName, say.NewToken(), "do", "hand-in")).leads(strings.TrimSuffix(path, "/draft"))
	s.as(s.Supervisor).get(path+"?pane=publish").check(htmlcheck.Count("button[value=publish]", 1), htmlcheck.In(".lede", htmlcheck.HasText("Submitted for sign-off by "+s.Trainee.Name)))
}

// postJSON sends fields as the script does and reads the answer.
func (b *browser) postJSON(path string, values url.Values, answer any) {
	b.t.Helper()
	values.Set(view.FormTokenName, say.NewToken())
	r := httptest.NewRequest(http.MethodPost, path, strings.NewReader(values.Encode()))
	r.Header.Set("Content-Type", "application/x-www-form-urlencoded")
	r.Header.Set("Sec-Fetch-Site", "same-origin")
	r.Header.Set("Accept", "application/json")
	if err := json.Unmarshal([]byte(b.send(r).want(http.StatusOK).body), answer); err != nil {
		b.t.Fatal(err)
	}
}

func TestAutosaveReturnsStoredState(t *testing.T) {
	t.Parallel()
	s := newSite(t)
	lead := s.as(s.Lead)
	path := begin(lead)
	at := firstStep(lead, path)
	key := stepKeyOf(at)
	name := program.StepField(key, "criterion")
	values := url.Values{"rev": {"1"}, "do": {"save"}, "pane": {"?step=" + key}, name: {"80% now and then"}}
	var a draftAnswer
	lead.postJSON(path, values, &a)
	if a.Rev != 2 || a.Fields[name] != "80% now and then" || !strings.Contains(a.Problems[name], "now and then") || !strings.Contains(a.List, `aria-current="true"`) {
		t.Errorf("answered %+v", a)
	}
	// From an old revision, in a field that has changed since.
	values[name] = []string{"90% independent in 2 sessions in a row"}
	lead.postJSON(path, values, &a)
	if a.Conflicts[name] != "80% now and then" || a.Rev != 2 {
		t.Errorf("conflicts %v at %d", a.Conflicts, a.Rev)
	}
}

func TestAssigning(t *testing.T) {
	t.Parallel()
	s := newSite(t)
	v := s.Publish(t, fixture.WashingHands())
	supervisor := s.as(s.Supervisor)
	learner := "/learners/" + s.Home.Learner.String()
	supervisor.get(learner).want(http.StatusOK).check(htmlcheck.In("a[href='" + learner + "/assign']"))
	p := supervisor.get(learner + "/assign").want(http.StatusOK).check(htmlcheck.Count("input[name=program]", 1))
	values := p.form("form[action='" + learner + "/assign']")
	if text := supervisor.post(learner+"/assign", values).error("program"); text == "" {
		t.Error("no message for an empty choice")
	}
	supervisor.post(learner+"/assign", with(url.Values{}, "program", v.ProgramID.String())).leads(learner)
	supervisor.get(learner).check(htmlcheck.In("#programs"), htmlcheck.In(".learnerprograms", htmlcheck.HasText("Washing hands")))
	s.as(s.Lead).get("/programs/" + v.ProgramID.String()).check(htmlcheck.In(".now .on", htmlcheck.HasText("Rami")))
	// What is missing is listed with a link to where it can be added.
	s.SetCare(t, s.Home.Learner, newel.Care{})
	s.Exec(t, `update consent set withdrawn_on = '2026-03-01' where clinic_id = @clinic`, nil)
	supervisor.get(learner+"/assign").want(http.StatusOK).check(htmlcheck.Count(".problems li", 4), htmlcheck.NotIn("input[name=program]"),
		htmlcheck.In(".problems a[href='"+learner+"/care']"), htmlcheck.In(".problems a[href='"+learner+"/consents']"))
	supervisor.post(learner+"/assign", with(url.Values{}, "program", v.ProgramID.String())).want(http.StatusUnprocessableEntity).check(htmlcheck.Count(".problems li", 4))
}

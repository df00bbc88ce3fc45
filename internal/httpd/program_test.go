package httpd

import (
	"net/http"
	"net/url"
	"strconv"
	"strings"
	"testing"

	"golang.org/x/net/html"

	"newel/internal/criterion"
	"newel/internal/fixture"
	"newel/internal/htmlcheck"
	"newel/internal/newel"
	"newel/internal/view"
)

// form reads the fields of a form as a browser would send them.
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
	first, found := "", ""
	_ = htmlcheck.Each("option", func(o *html.Node) error {
		value, _ := htmlcheck.Attr(o, "value")
		if _, is := htmlcheck.Attr(o, "selected"); is {
			found = value
		}
		if first == "" {
			first = value
		}
		return nil
	})(n)
	if found == "" {
		return first
	}
	return found
}

// begin begins a program and gives the path of its editor.
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

// stepKeys lists the keys of the steps in an editor's form.
func stepKeys(values url.Values) []string {
	var keys []string
	for _, strand := range values["strand"] {
		keys = append(keys, values["steps."+strand]...)
	}
	return keys
}

func TestProgramIsWrittenAndPublishedWithoutScript(t *testing.T) {
	t.Parallel()
	s := newSite(t)
	lead := s.as(s.Lead)
	lead.get("/programs").want(http.StatusOK).check(htmlcheck.In(".empty a.btn.solid", htmlcheck.HasAttr("href", "/programs/new")))
	lead.get("/programs/new").want(http.StatusOK).check(htmlcheck.In("form input[name=title]"))
	path := begin(lead)
	program := strings.TrimSuffix(path, "/draft")
	lead.get(program).want(http.StatusOK).check(htmlcheck.In("#version-head", htmlcheck.HasText("Not published yet")))
	// Two more steps, one button at a time; what was typed before stays.
	values := lead.get(path).want(http.StatusOK).check(htmlcheck.Count(".draftstep", 1)).form("#draft")
	strand, first := values.Get("strand"), stepKeys(values)[0]
	with(values, "purpose", "Clean hands before food.", "help_levels", "point\nsay\nlight touch (touch)", "materials", "stool\npump soap (fragrance-free)",
		newel.StepField(first, "label"), "B1", newel.StepField(first, "name"), "Hang up the towel", newel.StepField(first, "trials"), "5",
		newel.StepField(first, "criterion"), "3x100%", "do", "add-step:"+strand)
	p := lead.post(path, values)
	second := strings.TrimPrefix(p.want(http.StatusSeeOther).location, path+"#step-")
	values = lead.get(path).check(htmlcheck.Count(".draftstep", 2)).form("#draft")
	if values.Get("purpose") != "Clean hands before food." || values.Get(newel.StepField(second, "criterion")) != "3x100%" {
		t.Fatalf("lost on the way: %v", values)
	}
	with(values, newel.StepField(second, "label"), "B2", newel.StepField(second, "name"), "Dry both hands", "do", "up:"+second)
	lead.post(path, values).leads(path + "#step-" + second)
	values = lead.get(path).form("#draft")
	if got := stepKeys(values); got[0] != second || got[1] != first {
		t.Errorf("moved up: %v", got)
	}
	lead.post(path, with(values, "do", "publish")).leads(program)
	page := lead.get(program).want(http.StatusOK).check(
		htmlcheck.In("h1", htmlcheck.HasText("Washing hands")), htmlcheck.In("#version-head", htmlcheck.HasText("Version 1")),
		htmlcheck.Count("table.steps tbody tr", 2), htmlcheck.In(".stair.full"), htmlcheck.In(".warn", htmlcheck.HasText("Light touch only")),
	)
	if text := page.text("table.steps"); strings.Contains(text, "3x") || !strings.Contains(text, "100% independent in 3 sessions in a row") {
		t.Errorf("the trade's shorthand is never shown: %s", text)
	}
	lead.get("/programs").check(htmlcheck.In("table.quiet tbody tr", htmlcheck.HasText("version 1")))
	// A revision begins as it was published.
	lead.post(program+"/revise", nil).leads(path)
	lead.get(path).check(htmlcheck.Count(".draftstep", 2), htmlcheck.In(".lede", htmlcheck.HasText("version 1 until")))
}

func TestUnreadableCriterionIsAnsweredUnderItsField(t *testing.T) {
	t.Parallel()
	s := newSite(t)
	lead := s.as(s.Lead)
	path := begin(lead)
	values := lead.get(path).form("#draft")
	key := stepKeys(values)[0]
	with(values, newel.StepField(key, "label"), "B1", newel.StepField(key, "name"), "Towel", newel.StepField(key, "trials"), "5",
		newel.StepField(key, "criterion"), "80% independent most of the time", "do", "publish")
	p := lead.post(path, values)
	text := errorBeside(p.want(http.StatusUnprocessableEntity).check(htmlcheck.In(".problems")), newel.StepField(key, "criterion"))
	if !strings.Contains(text, "most of the time") {
		t.Errorf("it does not say what was not understood: %q", text)
	}
	_, example, _ := strings.Cut(text, "For example: ")
	if _, err := criterion.Parse(example, criterion.Vocabulary{}); err != nil {
		t.Errorf("the example %q cannot be read: %v", example, err)
	}
	if got := p.form("#draft").Get(newel.StepField(key, "criterion")); got != "80% independent most of the time" {
		t.Errorf("the field lost what was typed: %q", got)
	}
	// The draft was saved on the way, and with the mistake put right it is published.
	values = p.form("#draft")
	lead.post(path, with(values, newel.StepField(key, "criterion"), example, "do", "publish")).leads(strings.TrimSuffix(path, "/draft"))
}

// errorBeside is the message beside the field of this name, whose id may hold
// dots.
func errorBeside(p *reply, name string) string {
	return p.text(`[id="f-` + name + `-error"]`)
}

func TestNothingTypedIsLostWhateverGoesWrong(t *testing.T) {
	t.Parallel()
	s := newSite(t)
	lead, trainee := s.as(s.Lead), s.as(s.Trainee)
	path := begin(lead)
	values := lead.get(path).form("#draft")
	key := stepKeys(values)[0]
	typed := []string{
		"title", strings.Repeat("ü", newel.MaxLine+1), "purpose", "<script>alert(1)</script> & \"so\" 🧼", "cautions", "قل لا، توقف",
		"for_whom", strings.Repeat("long ", newel.MaxNote), "wait_seconds", "five", newel.StepField(key, "trials"), "plenty",
		newel.StepField(key, "criterion"), "when he can", newel.StepField(key, "name"), "'; drop table version; --",
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
	kept("publishing refused", lead.post(path, with(values, "do", "publish")).want(http.StatusUnprocessableEntity))
	kept("saved all the same", lead.get(path).want(http.StatusOK))
	stale.Set("reinforcing", "differs")
	kept("somebody was first", trainee.post(path, with(stale, "do", "save")).want(http.StatusConflict))
	kept("no token", lead.post(path, with(stale, view.FormTokenName, "")).want(http.StatusUnprocessableEntity))
	stale.Set("say", "a\x00b")
	kept("no text", lead.post(path, with(stale, view.FormTokenName, newToken(), "rev", "99")).want(http.StatusUnprocessableEntity))
}

func TestConflictShowsBoth(t *testing.T) {
	t.Parallel()
	s := newSite(t)
	lead, trainee := s.as(s.Lead), s.as(s.Trainee)
	path := begin(lead)
	mine, theirs := trainee.get(path).form("#draft"), lead.get(path).form("#draft")
	lead.post(path, with(theirs, "purpose", "the lead's words", "do", "save")).leads(path)
	p := trainee.post(path, with(mine, "purpose", "the trainee's words", "do", "save")).want(http.StatusConflict).check(
		htmlcheck.In(".problems", htmlcheck.HasText(s.Lead.Name+" saved this draft")),
		htmlcheck.In("#f-purpose", htmlcheck.HasText("the trainee's words")), htmlcheck.In("#f-purpose-hint", htmlcheck.HasText("the lead's words")),
	)
	// Having seen it, saving again counts.
	trainee.post(path, with(p.form("#draft"), "do", "save")).leads(path)
	lead.get(path).check(htmlcheck.In("#f-purpose", htmlcheck.HasText("the trainee's words")))
}

func TestEditorBoundsWhatABrowserMaySend(t *testing.T) {
	t.Parallel()
	values := url.Values{"strand": {"s1", "s1", "<b>", "s2"}, "do": {"save"}, "rev": {"1"}, "title": {"x"}}
	for i := range maxSheetSteps + 50 {
		values.Add("steps.s1", "k"+strconv.Itoa(i))
	}
	values["steps.s2"] = []string{"k1", "z1"} // k1 is taken, and there is no more room
	sheet := sheetOf(values)
	if len(sheet.Strands) != 2 || len(sheet.Strands[0].Steps) != maxSheetSteps || len(sheet.Strands[1].Steps) != 0 {
		t.Errorf("strands: %d, steps %d and %d", len(sheet.Strands), len(sheet.Strands[0].Steps), len(sheet.Strands[1].Steps))
	}
	if _, own := sheet.Fields["do"]; own || sheet.Fields["title"] != "x" {
		t.Errorf("fields: %v", sheet.Fields)
	}
}

func TestTraineeHasNoPublishButton(t *testing.T) {
	t.Parallel()
	s := newSite(t)
	path := begin(s.as(s.Trainee))
	trainee := s.as(s.Trainee)
	p := trainee.get(path).want(http.StatusOK).check(htmlcheck.NotIn("button[value=publish]"))
	trainee.post(path, with(p.form("#draft"), "do", "publish")).want(http.StatusForbidden)
	s.as(s.Supervisor).get(path).check(htmlcheck.Count("button[value=publish]", 1))
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
		t.Error("nothing chosen is not answered")
	}
	supervisor.post(learner+"/assign", with(url.Values{}, "program", v.ProgramID.String())).leads(learner)
	supervisor.get(learner).check(htmlcheck.In("#programs"), htmlcheck.In(".learnerprograms", htmlcheck.HasText("Washing hands")))
	s.as(s.Lead).get("/programs/" + v.ProgramID.String()).check(htmlcheck.In(".now .on", htmlcheck.HasText("Rami")))
	// What is missing is said with a link to where it can be put right.
	s.SetCare(t, s.Home.Learner, newel.Care{})
	s.Exec(t, `update consent set withdrawn_on = '2026-03-01' where clinic_id = @clinic`, nil)
	supervisor.get(learner+"/assign").want(http.StatusOK).check(htmlcheck.Count(".problems li", 4), htmlcheck.NotIn("input[name=program]"),
		htmlcheck.In(".problems a[href='"+learner+"/care']"), htmlcheck.In(".problems a[href='"+learner+"/consents']"))
	supervisor.post(learner+"/assign", with(url.Values{}, "program", v.ProgramID.String())).want(http.StatusUnprocessableEntity).check(htmlcheck.Count(".problems li", 4))
}

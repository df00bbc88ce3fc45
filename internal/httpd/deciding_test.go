package httpd

import (
	"net/http"
	"strings"
	"testing"

	"newel/internal/fixture"
	"newel/internal/htmlcheck"
	"newel/internal/newel"
)

const tooLong = newel.MaxNote + 1

// A refused form keeps what was typed, with the message at the field.
func TestRefusedQuestionKeepsInput(t *testing.T) {
	t.Parallel()
	s := newSite(t)
	id := s.taught(fixture.WashingHands(), "aaaan")
	path := "/placements/" + id.String() + "/ask"
	supervisor, family := s.as(s.Supervisor), s.as(s.Home.Caregiver)

	form := supervisor.get(path + "?about=idle").want(http.StatusOK).check(htmlcheck.In("#f-question", htmlcheck.HasText("How are you all?"))).form("#ask-form")
	supervisor.post(path, with(form, "question", " \n ")).want(http.StatusUnprocessableEntity).check(
		htmlcheck.In(".problems a[href='#f-question']"), htmlcheck.In("#f-question[aria-invalid=true]"), htmlcheck.In("#f-question-error", htmlcheck.HasText("This is missing")),
	)
	long := "<b>الماء</b> " + strings.Repeat("x", tooLong)
	back := supervisor.post(path, with(form, "question", long)).want(http.StatusUnprocessableEntity).check(htmlcheck.In("#f-question-error"), htmlcheck.In("#f-question", htmlcheck.HasText("<b>الماء</b> xxx")))
	supervisor.post(path, with(back.form("#ask-form"), "question", "What does he like <best>?")).leads("/placements/" + id.String())
	supervisor.get(path).check(htmlcheck.In(".asked li", htmlcheck.HasText("What does he like <best>?"), htmlcheck.HasText(s.Supervisor.Name)))

	page := family.get("/questions").want(http.StatusOK).check(htmlcheck.Count(".familyprogress form", 1), htmlcheck.In("h2", htmlcheck.HasExactText("What does he like <best>?")))
	action, answer := page.attr(".familyprogress form", "action"), page.form(".familyprogress form")
	family.post(action, with(answer, "answer", "  ")).want(http.StatusUnprocessableEntity).check(htmlcheck.In(".wrong .error", htmlcheck.HasText("This is missing")))
	family.post(action, with(answer, "answer", long)).want(http.StatusUnprocessableEntity).check(htmlcheck.In(".wrong .error"), htmlcheck.In("textarea", htmlcheck.HasText("<b>الماء</b> xxx")))
	family.post(action, with(answer, "answer", "The blue car.")).leads("/questions")
	family.get("/questions").check(htmlcheck.NotIn(".familyprogress form"), htmlcheck.In(".say", htmlcheck.HasText("no questions for you")), htmlcheck.In(".familyprogress .list", htmlcheck.HasText("The blue car.")))
	supervisor.get("/placements/" + id.String()).check(htmlcheck.In("#f-reason", htmlcheck.HasText("The blue car.")))
}

func TestRefusedSplitKeepsInputAndItsStepsAreTaught(t *testing.T) {
	t.Parallel()
	s := newSite(t)
	first := s.taught(fixture.WashingHands(), "aaaan", "aaaaa", "aaaa1")
	supervisor := s.as(s.Supervisor)
	decide := "/placements/" + first.String() + "/decide"
	supervisor.post(decide, with(supervisor.get("/placements/"+first.String()).form("#decide-form"), "kind", "advance")).want(http.StatusSeeOther)
	second := s.openPlacement()
	path := "/placements/" + second.String()
	form := supervisor.get(path + "/branch").want(http.StatusOK).form("#branch-form")
	typed := with(form, "thin.0.name", "Dry the <palms>", "thin.1.name", "", "thin.1.label", "B2b", "thin.1.criterion", "eighty or so", "reason", "", "expected", "Both in a week", "expected_by", "soon")
	back := supervisor.post(path+"/decide", typed).want(http.StatusUnprocessableEntity).check(
		htmlcheck.In("#f-reason-error"), htmlcheck.In("#f-expected_by-error"), htmlcheck.In("[id='f-thin.1.name-error']"), htmlcheck.In("[id='f-thin.1.criterion-error']"),
		htmlcheck.In("[id='f-thin.0.name']", htmlcheck.HasAttr("value", "Dry the <palms>")), htmlcheck.In("[id='f-thin.1.criterion']", htmlcheck.HasAttr("value", "eighty or so")),
		htmlcheck.In("#f-expected", htmlcheck.HasText("Both in a week")), htmlcheck.In("#f-expected_by", htmlcheck.HasAttr("value", "soon")),
	)
	mended := with(back.form("#branch-form"), "thin.1.name", "Dry the backs", "thin.1.criterion", "", "reason", "Too much at once.", "expected_by", "")
	supervisor.post(path+"/decide", mended).want(http.StatusSeeOther)

	// In addition to the program, the learner's own stairs show what was
	// mastered.
	var program newel.ProgramID
	if err := s.DB.Bypass.QueryRow(t.Context(), `select program_id from assignment where family_id = $1`, s.Home.ID).Scan(&program); err != nil {
		t.Fatal(err)
	}
	supervisor.get("/programs/"+program.String()).want(http.StatusOK).check(
		htmlcheck.In(".on", htmlcheck.HasText("Rami"), htmlcheck.HasText("B2a")),
		htmlcheck.In(".on svg[aria-label*='2 of 4']"), htmlcheck.In(".on svg .d-ink"),
	)
}

// The learner's page shows the last seven days on the family's clock.
func TestLearnerWeek(t *testing.T) {
	t.Parallel()
	s := newSite(t)
	s.taught(fixture.WashingHands(), "aaaan", "n1nn2")
	path := "/learners/" + s.Home.Learner.String()
	s.as(s.Trainee).get(path).want(http.StatusOK).check(
		htmlcheck.In("section[aria-labelledby=week]", htmlcheck.HasText("Times are for Kolkata")),
		htmlcheck.Count("table.week thead th", 8), htmlcheck.Count("table.week tbody tr", 1), htmlcheck.Count("table.week .dots svg", 2),
		htmlcheck.In("table.week td:last-child", htmlcheck.HasText("1 session")),
		htmlcheck.In("section[aria-labelledby=week] table.quiet tbody tr:first-child", htmlcheck.HasText("12 March, 14:00"), htmlcheck.HasText("0 of 5"), htmlcheck.HasText("Lubna")),
	)
	s.clock.Set(s.clock.Now().AddDate(0, 0, 6)) // 11 March is no longer included
	s.as(s.Trainee).get(path).check(htmlcheck.Count("table.week .dots svg", 1), htmlcheck.Count("section[aria-labelledby=week] table.quiet tbody tr", 1))
	s.clock.Set(s.clock.Now().AddDate(0, 0, 1))
	s.as(s.Trainee).get(path).check(htmlcheck.NotIn("table.week"), htmlcheck.In("section[aria-labelledby=week]", htmlcheck.HasText("Nothing was recorded")))
}

package httpd

import (
	"cmp"
	"net/http"
	"net/url"
	"strings"
	"time"

	"newel/internal/app"
	"newel/internal/href"
	"newel/internal/live"
	"newel/internal/message"
	"newel/internal/newel"
	"newel/internal/view"
)

func (s *Server) reviewRoutes() []Route {
	return []Route{
		{Method: http.MethodPost, Pattern: string(href.LearnerReviews), Needs: newel.Decide, Handle: s.deed(s.beginReview)},
		{Method: http.MethodGet, Pattern: string(href.Review), Needs: newel.SeeProgress, Handle: s.review},
		{Method: http.MethodPost, Pattern: string(href.ReviewPage), Needs: newel.Decide, Handle: s.deed(s.turnPage)},
		{Method: http.MethodPost, Pattern: string(href.ReviewEnd), Needs: newel.Decide, Handle: s.deed(s.endReview)},
		{Method: http.MethodPost, Pattern: string(href.ReviewActions), Needs: newel.Decide, Handle: s.agree},
		{Method: http.MethodPost, Pattern: string(href.Action), Needs: newel.Decide, Handle: s.deed(s.settleAction)},
		{Method: http.MethodGet, Pattern: href.Agreed, Needs: newel.TeachToday, Handle: s.agreed},
		{Method: http.MethodPost, Pattern: string(href.AgreedAction), Needs: newel.TeachToday, Handle: s.deed(s.settleOwnAction)},
	}
}

func (s *Server) beginReview(r *http.Request, _ url.Values, form app.Form) (string, error) {
	id, err := pathID[newel.LearnerID](r, "learner")
	if err != nil {
		return "", err
	}
	return s.app.BeginReview(r.Context(), mustActor(r), form, id)
}

func (s *Server) turnPage(r *http.Request, values url.Values, _ app.Form) (string, error) {
	id, err := pathID[newel.ReviewID](r, "review")
	if err != nil {
		return "", err
	}
	page, err := pageOf(values.Get("page"))
	if err != nil {
		return "", err
	}
	return href.Review.To(id), s.app.TurnPage(r.Context(), mustActor(r), id, page)
}

// agreedPage names the page of what was agreed, where others are named by a
// placement.
const agreedPage = "agreed"

// pageOf reads the name of a page; zero: what was agreed.
func pageOf(name string) (newel.PlacementID, error) {
	if name == agreedPage {
		return newel.PlacementID{}, nil
	}
	return newel.ParseID[newel.PlacementID](name)
}

func (s *Server) endReview(r *http.Request, _ url.Values, form app.Form) (string, error) {
	id, err := pathID[newel.ReviewID](r, "review")
	if err != nil {
		return "", err
	}
	return s.app.EndReview(r.Context(), mustActor(r), form, id)
}

func (s *Server) agree(w http.ResponseWriter, r *http.Request) error {
	id, err := pathID[newel.ReviewID](r, "review")
	if err != nil {
		return err
	}
	values, form, err := readForm(r)
	to := ""
	if err == nil {
		to, err = s.app.Agree(r.Context(), mustActor(r), form, id, app.ActionInput{
			Text: values.Get("text"), Whose: values.Get("whose"), DueOn: values.Get("due_on"),
		})
	}
	return s.answer(w, r, to, err, func(problems map[string]string) error {
		return s.showReview(w, r, http.StatusUnprocessableEntity, values, problems)
	})
}

func (s *Server) settleAction(r *http.Request, values url.Values, form app.Form) (string, error) {
	id, err := pathID[newel.ActionID](r, "action")
	if err != nil {
		return "", err
	}
	back := settledBack(values, "")
	if values.Get("back") == "caseload" {
		back = href.Caseload
	}
	return s.app.SettleAction(r.Context(), mustActor(r), form, id, newel.Outcome(values.Get("outcome")), back)
}

func (s *Server) settleOwnAction(r *http.Request, values url.Values, form app.Form) (string, error) {
	id, err := pathID[newel.ActionID](r, "action")
	if err != nil {
		return "", err
	}
	return s.app.SettleOwnAction(r.Context(), mustActor(r), form, id, newel.Outcome(values.Get("outcome")), settledBack(values, href.Agreed))
}

// settledBack is the review from which something was settled, or usual.
func settledBack(values url.Values, usual string) string {
	if id, err := newel.ParseID[newel.ReviewID](values.Get("review")); err == nil {
		return href.Review.To(id) + "#agreed"
	}
	return usual
}

func (s *Server) review(w http.ResponseWriter, r *http.Request) error {
	return s.showReview(w, r, http.StatusOK, nil, nil)
}

// showReview shows a review; values are what was typed to be agreed, nil at
// first.
func (s *Server) showReview(w http.ResponseWriter, r *http.Request, status int, values url.Values, problems map[string]string) error {
	id, err := pathID[newel.ReviewID](r, "review")
	if err != nil {
		return err
	}
	actor, t := mustActor(r), s.printer(r)
	name := r.URL.Query().Get("alone")
	var alone *newel.PlacementID
	if name != "" {
		page, err := pageOf(name)
		if err != nil {
			return err
		}
		alone = &page
	}
	sheet, err := s.app.Review(r.Context(), actor, id, alone)
	if err != nil {
		return err
	}
	m := reviewPage(t, mustActor(r), sheet, name)
	p := page{Title: m.Title, Section: "families", Notice: problems["form"], Seen: sheet.State}
	if m.Up == nil {
		p.Kind = caregiverLayout
	}
	if m.Add != nil {
		m.Add.Form = s.formState(r, href.ReviewActions.To(id), values, problems)
	}
	return s.page(w, r, status, p, view.Review(m))
}

func reviewPage(t *message.Printer, actor newel.Actor, sheet app.ReviewSheet, alone string) view.ReviewPage {
	m := view.ReviewPage{T: t, Title: t.Text("review.title", "learner", sheet.LearnerName)}
	staff := actor.Can(newel.SeeLearner)
	if staff {
		m.Up = []view.Link{{Label: t.Text("families.title"), Href: href.Families}, {Label: sheet.LearnerName, Href: href.Learner.To(sheet.LearnerID)}}
	}
	m.Agreed = actionLines(t, actor, sheet.Actions, sheet.Today(), func(a newel.Action) bool { return concerns(sheet, a) })
	for i := range m.Agreed {
		m.Agreed[i].Review = sheet.ID.String()
	}
	if !sheet.GoesOn(sheet.Now) {
		m.Over = overText(t, sheet)
		return m
	}
	names := guestNames(t, sheet.Here)
	m.Under, m.Caution = t.Text("review.here", "names", names), t.Text("review.caution")
	m.Pages = reviewTabs(t, sheet)
	m.Open, m.Leaf = openTab(m.Pages)
	m.Showing = showingText(t, sheet, actor, alone, m.Open)
	if sheet.Shown != nil {
		shown := plainProgress(t, *sheet.Shown)
		shown.Asked, shown.Flights = nil, unlinked(shown.Flights) // the way out of a review is not the way on
		m.Shown = &shown
		if staff {
			m.Full = &view.Link{Label: t.Text("review.full"), Href: href.Placement.To(sheet.Shown.Placement.ID)}
		}
	}
	switch leads := actor.Can(newel.Decide); {
	case alone != "":
		m.Follow = &view.Link{Label: t.Text("review.follow"), Href: href.Review.To(sheet.ID)}
	case !leads:
		m.Alone = &view.Link{Label: t.Text("review.alone"), Href: aloneHref(sheet)}
	default:
		turn, end := formIn(t, href.ReviewPage.To(sheet.ID), nil, nil), formIn(t, href.ReviewEnd.To(sheet.ID), nil, nil)
		m.Turn, m.End, m.Add = &turn, &end, &view.ActionForm{}
		for _, whose := range newel.WhoseKinds {
			m.Add.Whose = append(m.Add.Whose, view.Option{Value: string(whose), Label: t.Text("review.whose_" + string(whose))})
		}
	}
	return m
}

// settledFor is how long what was settled is still told of in a review.
const settledFor = 30 * 24 * time.Hour

// concerns reports whether an action is to be spoken of: what is still to do,
// what was settled lately, and what was agreed in the review itself.
func concerns(sheet app.ReviewSheet, a newel.Action) bool {
	if a.ReviewID == sheet.ID {
		return true
	}
	return sheet.GoesOn(sheet.Now) && (a.Outcome == newel.StillToDo || sheet.Now.Sub(*a.SettledAt) < settledFor)
}

func reviewTabs(t *message.Printer, sheet app.ReviewSheet) []view.ReviewTab {
	tabs := []view.ReviewTab{{Label: t.Text("review.agreed"), Value: agreedPage, Href: href.ReviewAlone(sheet.ID, agreedPage), Open: sheet.Shown == nil}}
	for _, p := range sheet.Pages {
		id := p.PlacementID.String()
		tabs = append(tabs, view.ReviewTab{
			Label: p.Program, Under: strings.TrimSpace(p.Role + " " + p.StepLabel), Value: id, Href: href.ReviewAlone(sheet.ID, id),
			Open: sheet.Shown != nil && sheet.Shown.Placement.ID == p.PlacementID,
		})
	}
	return tabs
}

func openTab(tabs []view.ReviewTab) (label, name string) {
	for _, tab := range tabs {
		if tab.Open {
			return tab.Label, tab.Value
		}
	}
	return "", ""
}

func aloneHref(sheet app.ReviewSheet) string {
	name := agreedPage
	if sheet.Shown != nil {
		name = sheet.Shown.Placement.ID.String()
	}
	return href.ReviewAlone(sheet.ID, name)
}

func showingText(t *message.Printer, sheet app.ReviewSheet, actor newel.Actor, alone, open string) string {
	switch {
	case alone != "":
		return t.Text("review.you_alone", "page", open)
	case sheet.LedBy == actor.Account:
		return t.Text("review.you_show", "page", open)
	case sheet.LedByName == "":
		return t.Text("review.shows_clinic", "page", open)
	}
	return t.Text("review.shows", "who", sheet.LedByName, "page", open)
}

func overText(t *message.Printer, sheet app.ReviewSheet) string {
	day := newel.DayOf(sheet.BeganAt, zoneOf(sheet.Family.TimeZone))
	if len(sheet.Guests) == 0 {
		return t.Text("review.over_alone", "day", day)
	}
	return t.Text("review.over", "day", day, "names", guestNames(t, sheet.Guests))
}

func guestNames(t *message.Printer, guests []newel.Guest) string {
	names := make([]string, len(guests))
	for i, g := range guests {
		names[i] = cmp.Or(g.Name, t.Text("review.somebody"))
	}
	return t.List(names)
}

// unlinked are flights without links to other pages.
func unlinked(flights []view.Flight) []view.Flight {
	for _, f := range flights {
		for i := range f.Steps {
			f.Steps[i].Href = ""
		}
	}
	return flights
}

// actionLines tells those of the actions that are wanted, what is still to do
// before the rest.
func actionLines(t *message.Printer, actor newel.Actor, actions []newel.Action, today newel.Day, wanted func(newel.Action) bool) []view.ActionLine {
	var open, settled []view.ActionLine
	for _, a := range actions {
		if !wanted(a) {
			continue
		}
		line := actionLine(t, actor, a, today)
		if line.Open {
			open = append(open, line)
		} else {
			settled = append(settled, line)
		}
	}
	return append(open, settled...)
}

func actionLine(t *message.Printer, actor newel.Actor, a newel.Action, today newel.Day) view.ActionLine {
	zone := zoneOf(a.TimeZone)
	line := view.ActionLine{
		Text: a.Text, Whose: t.Text("review.whose_" + string(a.Whose)), Open: a.Outcome == newel.StillToDo, Overdue: a.DueOn.Before(today) && a.Outcome == newel.StillToDo,
		Agreed: t.Text("review.agreed_on", "day", newel.DayOf(a.AgreedAt, zone)), Learner: view.Link{Label: a.LearnerName, Href: href.LearnerReviewList(a.LearnerID)},
	}
	if !a.DueOn.IsZero() {
		line.Due = t.Text("review.due", "day", a.DueOn)
	}
	if !line.Open {
		line.Settled = t.Text("review.settled_"+string(a.Outcome), "who", cmp.Or(a.SettledByName, t.Text("review.somebody")), "day", newel.DayOf(*a.SettledAt, zone))
	}
	path := ""
	switch {
	case actor.Can(newel.Decide):
		path = href.Action.To(a.ID)
	case actor.Can(newel.TeachToday) && a.Whose == newel.OfFamily:
		path = href.AgreedAction.To(a.ID)
	}
	if path != "" {
		form := formIn(t, path, nil, nil)
		line.Settle = &form
	}
	return line
}

// unowned are lines of which the page says whose they are.
func unowned(lines []view.ActionLine) []view.ActionLine {
	for i := range lines {
		lines[i].Whose = ""
	}
	return lines
}

func (s *Server) agreed(w http.ResponseWriter, r *http.Request) error {
	actor := mustActor(r)
	own, clinics, today, err := s.app.Agreed(r.Context(), actor)
	if err != nil {
		return err
	}
	t := s.printer(r)
	all := func(newel.Action) bool { return true }
	m := view.AgreedPage{T: t, Title: t.Text("review.agreed"), None: t.Text("review.nothing_to_do"), Own: unowned(actionLines(t, actor, own, today, all)), Clinics: unowned(actionLines(t, actor, clinics, today, all))}
	return s.page(w, r, http.StatusOK, page{Title: m.Title, Kind: caregiverLayout}, view.Agreed(m))
}

// reviewsOf is what a learner's page tells of reviews.
func (s *Server) reviewsOf(r *http.Request, l app.LearnerPage) (view.ReviewsPart, error) {
	actor, t := mustActor(r), s.printer(r)
	reviews, actions, now, err := s.app.LearnerReviews(r.Context(), actor, l.ID)
	if err != nil {
		return view.ReviewsPart{}, err
	}
	zone := zoneOf(l.Family.TimeZone)
	m := view.ReviewsPart{T: t, Actions: actionLines(t, actor, actions, newel.DayOf(now, zone), func(a newel.Action) bool { return a.Outcome == newel.StillToDo })}
	for _, review := range reviews {
		if review.GoesOn(now) {
			m.Going = &view.Link{Label: t.Text("review.going"), Href: href.Review.To(review.ID)}
			continue
		}
		line := view.ReviewLine{Label: t.Day(newel.DayOf(review.BeganAt, zone)), Href: href.Review.To(review.ID), Under: t.Text("review.count", "n", review.Agreed)}
		if len(review.Guests) > 0 {
			line.Under = t.Text("review.came", "names", guestNames(t, review.Guests)) + " " + line.Under
		}
		m.Reviews = append(m.Reviews, line)
	}
	if actor.Can(newel.Decide) {
		form := s.formState(r, href.LearnerReviews.To(l.ID), nil, nil)
		m.Begin = &form
	}
	return m, nil
}

// watchReview tells a page of a review of whatever concerns its family, and
// notes that its reader is there.
func (s *Server) watchReview(w http.ResponseWriter, r *http.Request) error {
	id, err := pathID[newel.ReviewID](r, "review")
	if err != nil {
		return err
	}
	return s.watch(w, r, func(actor newel.Actor) (live.Interest, string, error) {
		i, err := interestOf(actor, newel.SeeProgress)
		if err != nil {
			return i, "", err
		}
		family, state, err := s.app.Attend(r.Context(), actor, id)
		i.Families = []newel.FamilyID{family}
		return i, state, err
	})
}

package say

import (
	"cmp"
	"strings"
	"time"

	"newel/internal/app"
	"newel/internal/href"
	"newel/internal/message"
	"newel/internal/newel"
	"newel/internal/timezone"
	"newel/internal/view"
)

// AgreedTab names the page of agreed actions; other pages are named by a
// placement.
const AgreedTab = "agreed"

// ReviewPage returns a review as the actor sees it. alone names the page that
// the actor views separately; empty for the shared page.
func ReviewPage(t *message.Printer, actor newel.Actor, review app.ReviewView, alone string) view.ReviewPage {
	m := view.ReviewPage{T: t, Title: t.Text("review.title", "learner", review.LearnerName)}
	staff := actor.Can(newel.SeeLearner)
	if staff {
		m.Up = []view.Link{{Label: t.Text("families.title"), Href: href.Families}, {Label: review.LearnerName, Href: href.Learner.To(review.LearnerID)}}
	}
	m.Agreed = ActionLines(t, actor, review.Actions, review.Today(), func(a newel.Action) bool { return concerns(review, a) })
	for i := range m.Agreed {
		m.Agreed[i].Review = review.ID.String()
	}
	if !review.InProgress(review.Now) {
		m.Over = overText(t, review)
		return m
	}
	names := guestNames(t, review.Here)
	m.Under, m.Caution = t.Text("review.here", "names", names), t.Text("review.caution")
	m.Pages = reviewTabs(t, review)
	m.Open, m.Leaf = openTab(m.Pages)
	m.Showing = showingText(t, review, actor, alone, m.Open)
	if review.Shown != nil {
		shown := PlainProgress(t, *review.Shown)
		shown.Asked, shown.Flights = nil, unlinked(shown.Flights) // no links that leave the review
		m.Shown = &shown
		if staff {
			m.Full = &view.Link{Label: t.Text("review.full"), Href: href.Placement.To(review.Shown.Placement.ID)}
		}
	}
	switch leads := actor.Can(newel.Decide); {
	case alone != "":
		m.Follow = &view.Link{Label: t.Text("review.follow"), Href: href.Review.To(review.ID)}
	case !leads:
		m.Alone = &view.Link{Label: t.Text("review.alone"), Href: aloneHref(review)}
	default:
		turn, end := Form(t, href.ReviewPage.To(review.ID), nil, nil), Form(t, href.ReviewEnd.To(review.ID), nil, nil)
		m.Turn, m.End, m.Add = &turn, &end, &view.ActionForm{}
		for _, whose := range newel.ActionOwners {
			m.Add.Whose = append(m.Add.Whose, view.Option{Value: string(whose), Label: t.Text("review.whose_" + string(whose))})
		}
	}
	return m
}

// actionShownFor is how long a review still shows a settled action.
const actionShownFor = 30 * 24 * time.Hour

// concerns reports whether a review should list an action: open ones, recently
// settled ones, and those agreed in the review itself.
func concerns(review app.ReviewView, a newel.Action) bool {
	if a.ReviewID == review.ID {
		return true
	}
	return review.InProgress(review.Now) && (a.Outcome == newel.ActionOpen || review.Now.Sub(*a.SettledAt) < actionShownFor)
}

func reviewTabs(t *message.Printer, review app.ReviewView) []view.ReviewTab {
	tabs := []view.ReviewTab{{Label: t.Text("review.agreed"), Value: AgreedTab, Href: href.ReviewAlone(review.ID, AgreedTab), Open: review.Shown == nil}}
	for _, p := range review.Pages {
		id := p.PlacementID.String()
		tabs = append(tabs, view.ReviewTab{
			Label: p.Program, Under: strings.TrimSpace(p.Role + " " + p.StepLabel), Value: id, Href: href.ReviewAlone(review.ID, id),
			Open: review.Shown != nil && review.Shown.Placement.ID == p.PlacementID,
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

func aloneHref(review app.ReviewView) string {
	name := AgreedTab
	if review.Shown != nil {
		name = review.Shown.Placement.ID.String()
	}
	return href.ReviewAlone(review.ID, name)
}

func showingText(t *message.Printer, review app.ReviewView, actor newel.Actor, alone, open string) string {
	switch {
	case alone != "":
		return t.Text("review.you_alone", "page", open)
	case review.LedBy == actor.Account:
		return t.Text("review.you_show", "page", open)
	case review.LedByName == "":
		return t.Text("review.shows_clinic", "page", open)
	}
	return t.Text("review.shows", "who", review.LedByName, "page", open)
}

func overText(t *message.Printer, review app.ReviewView) string {
	day := newel.DayOf(review.BeganAt, timezone.OrUTC(review.Family.TimeZone))
	if len(review.Guests) == 0 {
		return t.Text("review.over_alone", "day", day)
	}
	return t.Text("review.over", "day", day, "names", guestNames(t, review.Guests))
}

// guestNames lists the participants of a review.
func guestNames(t *message.Printer, guests []newel.Guest) string {
	names := make([]string, len(guests))
	for i, g := range guests {
		names[i] = cmp.Or(g.Name, t.Text("review.somebody"))
	}
	return t.List(names)
}

// unlinked returns flights without links to other pages.
func unlinked(flights []view.Flight) []view.Flight {
	for _, f := range flights {
		for i := range f.Steps {
			f.Steps[i].Href = ""
		}
	}
	return flights
}

// ActionLines returns the selected actions, open ones first.
func ActionLines(t *message.Printer, actor newel.Actor, actions []newel.Action, today newel.Day, wanted func(newel.Action) bool) []view.ActionLine {
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
	zone := timezone.OrUTC(a.TimeZone)
	line := view.ActionLine{
		Text: a.Text, Whose: t.Text("review.whose_" + string(a.Whose)), Open: a.Outcome == newel.ActionOpen, Overdue: a.DueOn.Before(today) && a.Outcome == newel.ActionOpen,
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
	case actor.Can(newel.TeachToday) && a.Whose == newel.OwnedByFamily:
		path = href.AgreedAction.To(a.ID)
	}
	if path != "" {
		form := Form(t, path, nil, nil)
		line.Settle = &form
	}
	return line
}

// Unowned removes the owner from lines on a page that names the owner itself.
func Unowned(lines []view.ActionLine) []view.ActionLine {
	for i := range lines {
		lines[i].Whose = ""
	}
	return lines
}

// ReviewsPart returns the reviews part of a learner's page.
func ReviewsPart(t *message.Printer, actor newel.Actor, reviews []newel.Review, actions []newel.Action, now time.Time, zone *time.Location) view.ReviewsPart {
	m := view.ReviewsPart{T: t, Actions: ActionLines(t, actor, actions, newel.DayOf(now, zone), func(a newel.Action) bool { return a.Outcome == newel.ActionOpen })}
	for _, review := range reviews {
		if review.InProgress(now) {
			m.Going = &view.Link{Label: t.Text("review.going"), Href: href.Review.To(review.ID)}
			continue
		}
		line := view.ReviewLine{Label: t.Day(newel.DayOf(review.BeganAt, zone)), Href: href.Review.To(review.ID), Under: t.Text("review.count", "n", review.Agreed)}
		if len(review.Guests) > 0 {
			line.Under = t.Text("review.came", "names", guestNames(t, review.Guests)) + " " + line.Under
		}
		m.Reviews = append(m.Reviews, line)
	}
	return m
}

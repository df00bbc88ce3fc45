package href

import (
	"strconv"

	"newel/internal/newel"
)

// Teaching and decisions about it.
const (
	Caseload     = "/caseload"
	CaseloadLive = Caseload + live
	CaseloadSeen = "/caseload/seen"

	Placement         One[newel.PlacementID]                   = "/placements/{placement}"
	PlacementLive     One[newel.PlacementID]                   = Placement + live
	PlacementDecide   One[newel.PlacementID]                   = "/placements/{placement}/decide"
	PlacementOwn      One[newel.PlacementID]                   = "/placements/{placement}/own"
	PlacementBranch   One[newel.PlacementID]                   = "/placements/{placement}/branch"
	PlacementAsk      One[newel.PlacementID]                   = "/placements/{placement}/ask"
	PlacementPlanned  One[newel.PlacementID]                   = "/placements/{placement}/planned"
	PlacementVerdict  Two[newel.PlacementID, newel.DecisionID] = "/placements/{placement}/decisions/{decision}/verdict"
	PlacementFidelity One[newel.PlacementID]                   = "/placements/{placement}/fidelity"
	FidelityWithdraw  Two[newel.PlacementID, newel.FidelityID] = "/placements/{placement}/fidelity/{fidelity}/withdraw"
	PlacementProgram  One[newel.PlacementID]                   = "/placements/{placement}/program"
	PlacementPlain    One[newel.PlacementID]                   = "/placements/{placement}/program/plain"
	PlacementReplay   One[newel.PlacementID]                   = "/placements/{placement}/replay"
	PlacementPrintout One[newel.PlacementID]                   = "/placements/{placement}/sheet"
	AssignmentVersion One[newel.AssignmentID]                  = "/assignments/{assignment}/version"
	Recording         One[newel.RecordingID]                   = "/recordings/{recording}"
	RecordingAmend    One[newel.RecordingID]                   = "/recordings/{recording}/amendments"
	Quarantine                                                 = "/quarantine"
	QuarantineSettle  Two[newel.AccountID, newel.RecordingID]  = "/quarantine/{account}/{recording}"
	Review            One[newel.ReviewID]                      = "/reviews/{review}"
	ReviewLive        One[newel.ReviewID]                      = Review + live
	ReviewPage        One[newel.ReviewID]                      = "/reviews/{review}/page"
	ReviewEnd         One[newel.ReviewID]                      = "/reviews/{review}/end"
	ReviewActions     One[newel.ReviewID]                      = "/reviews/{review}/actions"
	Action            One[newel.ActionID]                      = "/actions/{action}"
)

// CaseloadAfter returns the caseload after marking several rows as seen at
// once: how many were marked and how many could not be.
func CaseloadAfter(seen, left int) string {
	return Query(Caseload, "seen", strconv.Itoa(seen), "left", strconv.Itoa(left))
}

// Decision returns a decision on the page of its placement.
func Decision(placement newel.PlacementID, decision newel.DecisionID) string {
	return Placement.To(placement) + "#decision-" + decision.String()
}

// Lift returns the part of a placement's page that lifts the pause after a
// child's no.
func Lift(id newel.PlacementID) string { return Placement.To(id) + "#lift" }

// Decide returns the part of a placement's page with the decision form.
func Decide(id newel.PlacementID) string { return Placement.To(id) + decide }

// DecideAs returns that part with a kind of decision selected.
func DecideAs(id newel.PlacementID, kind string) string {
	return Query(Placement.To(id), "kind", kind) + decide
}

const decide = "#decide"

// ReviewAlone returns a page of a review for browsing alone, independently of
// the page the others see.
func ReviewAlone(id newel.ReviewID, page string) string { return Query(Review.To(id), "alone", page) }

// PlacementPlan returns the part of a placement's page with what is planned for
// its next session.
func PlacementPlan(id newel.PlacementID) string { return Placement.To(id) + "#planned" }

// FidelityList returns the part of a placement's page with fidelity checks.
func FidelityList(id newel.PlacementID) string { return Placement.To(id) + "#fidelity" }

// AskAbout returns the form for a question to the family.
func AskAbout(id newel.PlacementID, about string) string {
	return Query(PlacementAsk.To(id), "about", about)
}

// Twin returns the part of a session's page about its second record.
func Twin(id newel.RecordingID) string { return Recording.To(id) + "#twin" }

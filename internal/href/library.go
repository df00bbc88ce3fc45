package href

import "newel/internal/newel"

// The library: programs.
const (
	Programs      = "/programs"
	NewProgram    = "/programs/new"
	ImportProgram = "/programs/import"
	Starters      = "/programs/starters"

	Program         One[newel.ProgramID] = "/programs/{program}"
	ProgramPlain    One[newel.ProgramID] = "/programs/{program}/plain"
	ProgramVersions One[newel.ProgramID] = "/programs/{program}/versions"
	ProgramCompare  One[newel.ProgramID] = "/programs/{program}/compare"
	ProgramRevise   One[newel.ProgramID] = "/programs/{program}/revise"
	ProgramCopy     One[newel.ProgramID] = "/programs/{program}/copy"
	ProgramArchive  One[newel.ProgramID] = "/programs/{program}/archive"
	ProgramExport   One[newel.ProgramID] = "/programs/{program}/export"

	Draft          One[newel.ProgramID] = "/programs/{program}/draft"
	DraftCriterion One[newel.ProgramID] = "/programs/{program}/draft/criterion"
	DraftLadder    One[newel.ProgramID] = Draft + ladder
	DraftPictures  One[newel.ProgramID] = "/programs/{program}/draft/pictures"

	StepPhone  Two[newel.ProgramID, string] = "/programs/{program}/steps/{step}/phone"
	StepReplay Two[newel.ProgramID, string] = "/programs/{program}/steps/{step}/replay"
)

// InState returns a page about a program in one of its states: "draft" or a
// version number; empty for the current one.
func InState(address, state string) string {
	if state == "" {
		return address
	}
	return Query(address, "version", state)
}

// CompareStates returns the page that compares two states of a program.
func CompareStates(program newel.ProgramID, from, to string) string {
	return Query(ProgramCompare.To(program), "from", from, "to", to)
}

// ExportZip returns the address of a program's file with its pictures.
func ExportZip(program newel.ProgramID) string { return Query(ProgramExport.To(program), "as", "zip") }

// DraftStep returns the editor with a step open.
func DraftStep(program newel.ProgramID, step string) string {
	return Query(Draft.To(program), "step", step)
}

// StepCriterion returns where the editor gets its comments on a step's
// criterion while it is typed.
func StepCriterion(program newel.ProgramID, step string) string {
	return Query(DraftCriterion.To(program), "step", step)
}

// Suffixes of a draft's address.
const (
	pictures = "/pictures"
	ladder   = "/ladder"
)

// StepPictures returns the suffix of a draft's address for the pictures of a
// step.
func StepPictures(step string) string { return Query(pictures, "step", step) }

// LadderAfter returns the suffix of a draft's address for adding a series of
// steps after a step of a strand.
func LadderAfter(strand, after string) string {
	return Query(ladder, "strand", strand, "after", after)
}

// The library: skills and prompt hierarchies.
const (
	Skills   = "/skills"
	SkillMap = "/skills/map"

	Skill        One[newel.SkillID] = "/skills/{skill}"
	SkillArchive One[newel.SkillID] = "/skills/{skill}/archive"

	HelpScales = "/help-scales"

	HelpScale        One[newel.HelpScaleID] = "/help-scales/{scale}"
	HelpScaleArchive One[newel.HelpScaleID] = "/help-scales/{scale}/archive"
)

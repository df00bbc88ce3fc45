package newel

import (
	"strings"
	"time"

	"golang.org/x/text/cases"
	"golang.org/x/text/unicode/norm"
)

// Skill is an entry of the clinic's own skill list. Programs refer to the
// skills that they need and teach.
type Skill struct {
	ID         SkillID
	Name       string
	Area       string
	CreatedAt  time.Time
	ArchivedAt *time.Time
	// Names lists all current and former names, folded, because a published
	// program refers to a skill by its name at that time.
	Names []string
}

// FoldSkill returns a name folded for comparison, ignoring case and white
// space.
func FoldSkill(name string) string {
	return cases.Fold().String(strings.Join(strings.Fields(norm.NFC.String(name)), " "))
}

// SkillStatus is how far a learner has progressed with a skill.
type SkillStatus string

// The statuses, from none to most (common practice).
const (
	SkillNotYet     SkillStatus = "not_yet"
	SkillEmerging   SkillStatus = "emerging"
	SkillAcquired   SkillStatus = "acquired"
	SkillMaintained SkillStatus = "maintained"
)

// SkillStatuses lists the statuses.
var SkillStatuses = []SkillStatus{SkillNotYet, SkillEmerging, SkillAcquired, SkillMaintained}

// Has reports whether the learner has the skill as far as programs that need it
// are concerned.
func (s SkillStatus) Has() bool { return s == SkillAcquired || s == SkillMaintained }

// SkillNote is a record about a learner's skill and its evidence. It never
// changes; the latest one counts.
type SkillNote struct {
	ID             SkillNoteID
	FamilyID       FamilyID
	LearnerID      LearnerID
	SkillID        SkillID
	Status         SkillStatus
	NotedOn        Day
	Evidence       string
	PlacementID    *PlacementID // the placement whose criterion was met, if that is the evidence
	RecordedByName string
	RecordedAt     time.Time
}

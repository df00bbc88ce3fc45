package newel

import (
	"strings"
	"time"

	"golang.org/x/text/cases"
	"golang.org/x/text/unicode/norm"
)

// Skill is something that learners come to do, on the clinic's own list.
// Programs name the skills that they need and teach.
type Skill struct {
	ID         SkillID
	Name       string
	Area       string
	CreatedAt  time.Time
	ArchivedAt *time.Time
	// Names are all that it has or had, folded: a program that was published
	// names a skill as it was called then.
	Names []string
}

// FoldSkill gives a name as it is compared with others: capitals and white
// space do not matter.
func FoldSkill(name string) string {
	return cases.Fold().String(strings.Join(strings.Fields(norm.NFC.String(name)), " "))
}

// SkillStatus says how far a learner is with a skill.
type SkillStatus string

// The statuses, from none to most (common practice).
const (
	SkillNotYet     SkillStatus = "not_yet"
	SkillEmerging   SkillStatus = "emerging"
	SkillAcquired   SkillStatus = "acquired"
	SkillMaintained SkillStatus = "maintained"
)

// SkillStatuses lists them.
var SkillStatuses = []SkillStatus{SkillNotYet, SkillEmerging, SkillAcquired, SkillMaintained}

// Has reports whether a program that needs the skill may count on it.
func (s SkillStatus) Has() bool { return s == SkillAcquired || s == SkillMaintained }

// SkillNote is what somebody noted about a learner's skill, and on what
// evidence. It is never changed; the latest counts.
type SkillNote struct {
	ID             SkillNoteID
	FamilyID       FamilyID
	LearnerID      LearnerID
	SkillID        SkillID
	Status         SkillStatus
	NotedOn        Day
	Evidence       string
	PlacementID    *PlacementID // the stay on a step that met it, if that is the evidence
	RecordedByName string
	RecordedAt     time.Time
}

package postgres

import (
	"context"
	"time"

	"newel/internal/newel"
	"newel/internal/program"
)

// Taught is a placement with everything that whoever teaches it has to know.
type Taught struct {
	PlacementID  newel.PlacementID
	FamilyID     newel.FamilyID
	AssignmentID newel.AssignmentID
	ProgramID    newel.ProgramID
	VersionID    newel.VersionID
	State        newel.AssignmentState
	StepKey      string
	StrandKey    string
	PlannedHelp  string
	Criterion    string
	BeganOn      newel.Day
	EndedAt      *time.Time
	LearnerID    newel.LearnerID
	Nickname     string
	Care         newel.Care
	TimeZone     string
	Language     string   // the family's
	Met          []string // targets that are met, where each is mastered on its own
	Document     program.Document
	Overrides    map[string]newel.StepOverride
	LastOn       newel.Day // local date of the last closed session; zero if there was none
	LastEndedAt  *time.Time
	// Note is what the latest decision gives as its reason, and NoteBy who
	// decided; empty if nothing was decided.
	Note   string
	NoteBy string
}

// Learner gives the learner, as far as whoever teaches may see.
func (t Taught) Learner() newel.Learner {
	return newel.Learner{ID: t.LearnerID, FamilyID: t.FamilyID, Nickname: t.Nickname, Care: t.Care}
}

// Open reports whether the placement still goes on.
func (t Taught) Open() bool { return t.EndedAt == nil }

const taughtColumns = `select p.id as placement_id, p.family_id, p.assignment_id, s.program_id, p.version_id, s.state, p.step_key, p.strand_key, p.planned_help,
		p.criterion, p.began_on, p.ended_at, l.id as learner_id, l.nickname, l.care, family.time_zone, family.language, v.document, s.overrides,
		last.local_date as last_on, last.ended_at as last_ended_at, coalesce(d.reason, '') as note, coalesce(a.name, '') as note_by,
		array(select m ->> 'target' from jsonb_array_elements(g.body -> 'targets') m where m ->> 'state' = 'met') as met
	from placement p
	join assignment s on $in(s) and s.id = p.assignment_id
	join learner l on $in(l) and l.id = s.learner_id
	join family on $in(family) and family.id = p.family_id
	join version v on $clinic(v) and v.id = p.version_id
	left join reading g on $in(g) and g.placement_id = p.id
	left join lateral (select r.local_date, r.ended_at from recording r where $in(r) and r.placement_id = p.id and r.closed and not r.void
		order by r.ended_at desc limit 1) last on true
	left join lateral (select x.reason, x.decided_by from decision x join placement xp on xp.clinic_id = x.clinic_id and xp.id = x.placement_id
		where $in(x) and $in(xp) and xp.assignment_id = p.assignment_id order by x.decided_at desc, x.id desc limit 1) d on true
	left join account a on $clinic(a) and a.id = d.decided_by
	where $in(p)`

// TaughtNow lists what is being taught, or rests, in the order of learners
// and then of the least recently taught. Without a standing consent to both
// teaching and recording nothing is taught.
func (tx *Tx) TaughtNow(ctx context.Context) (_ []Taught, err error) {
	defer wrap(&err, "taught now")
	return many[Taught](ctx, tx, taughtColumns+` and p.ended_at is null and s.state in ('active', 'resting')
		and exists (select from consent k where $in(k) and k.learner_id = l.id and k.kind = 'teaching' and k.withdrawn_on is null)
		and exists (select from consent k where $in(k) and k.learner_id = l.id and k.kind = 'recording' and k.withdrawn_on is null)
		order by l.nickname, l.id, last.ended_at nulls first, p.began_at, p.id`, nil)
}

// TaughtAt gives one placement, also when it has ended.
func (tx *Tx) TaughtAt(ctx context.Context, placement newel.PlacementID) (_ Taught, err error) {
	defer wrap(&err, "taught at %s", placement)
	return one[Taught](ctx, tx, taughtColumns+` and p.id = @placement`, args{"placement": placement})
}

package postgres

import (
	"context"

	"github.com/google/uuid"

	"newel/internal/newel"
)

// AddIncident stores an incident reported by the scope's own account.
func (tx *Tx) AddIncident(ctx context.Context, i newel.Incident) (err error) {
	defer wrap(&err, "add incident %s", i.ID)
	if err := tx.covers(i.FamilyID); err != nil {
		return err
	}
	return tx.exec(ctx, `insert into incident (clinic_id, family_id, id, learner_id, happened_on, about_when, before, saw, after, helped, minutes, hurt, written_by, written_at)
		values (@scope_clinic, @family, @id, @learner, @on, @when, @before, @saw, @after, @helped, @minutes, @hurt, @scope_account, @now)`,
		args{
			"family": i.FamilyID, "id": i.ID, "learner": i.LearnerID, "on": i.HappenedOn, "when": i.AboutWhen, "before": i.Before, "saw": i.Saw,
			"after": i.After, "helped": i.Helped, "minutes": i.Minutes, "hurt": i.Hurt,
		})
}

const incidentColumns = `select i.id, i.family_id, i.learner_id, l.nickname as learner_name, i.happened_on, i.about_when, i.before, i.saw, i.after, i.helped,
		i.minutes, i.hurt, coalesce(p.name, a.name, '') as written_by_name, i.written_at, coalesce(b.name, '') as settled_by_name, i.settled_at, f.time_zone,
		coalesce((select jsonb_agg(jsonb_build_object('text', n.text, 'who', coalesce(np.name, na.name, ''), 'at', n.written_at) order by n.written_at, n.id)
			from incident_note n
			left join account na on na.clinic_id = n.clinic_id and na.id = n.written_by
			left join person np on np.clinic_id = n.clinic_id and np.family_id = n.family_id and np.account_id = n.written_by
			where $in(n) and n.incident_id = i.id), '[]') as notes
	from incident i
	join learner l on l.clinic_id = i.clinic_id and l.family_id = i.family_id and l.id = i.learner_id
	join family f on f.clinic_id = i.clinic_id and f.id = i.family_id
	left join account a on a.clinic_id = i.clinic_id and a.id = i.written_by
	left join person p on p.clinic_id = i.clinic_id and p.family_id = i.family_id and p.account_id = i.written_by
	left join account b on b.clinic_id = i.clinic_id and b.id = i.settled_by
	where $in(i)`

// Incidents lists the incidents in scope, newest first: those of one learner,
// or all if the id is zero.
func (tx *Tx) Incidents(ctx context.Context, learner newel.LearnerID) (_ []newel.Incident, err error) {
	defer wrap(&err, "incidents of learner %s", learner)
	return many[newel.Incident](ctx, tx, incidentColumns+` and (@learner::uuid = @nobody::uuid or i.learner_id = @learner) order by i.happened_on desc, i.written_at desc, i.id desc`,
		args{"learner": learner, "nobody": uuid.Nil})
}

// OpenIncidents lists the incidents in scope that the clinic has not responded
// to, oldest first.
func (tx *Tx) OpenIncidents(ctx context.Context) (_ []newel.Incident, err error) {
	defer wrap(&err, "open incidents")
	return many[newel.Incident](ctx, tx, incidentColumns+` and i.settled_at is null order by i.written_at, i.id`, nil)
}

// Incident returns one incident.
func (tx *Tx) Incident(ctx context.Context, id newel.IncidentID) (_ newel.Incident, err error) {
	defer wrap(&err, "incident %s", id)
	return one[newel.Incident](ctx, tx, incidentColumns+` and i.id = @id`, args{"id": id})
}

// AddIncidentNote adds a note by the scope's own account to an incident.
func (tx *Tx) AddIncidentNote(ctx context.Context, family newel.FamilyID, id newel.IncidentID, text string) (err error) {
	defer wrap(&err, "add note to incident %s", id)
	if err := tx.covers(family); err != nil {
		return err
	}
	return tx.exec(ctx, `insert into incident_note (clinic_id, family_id, id, incident_id, text, written_by, written_at)
		values (@scope_clinic, @family, @note, @incident, @text, @scope_account, @now)`,
		args{"family": family, "note": uuid.Must(uuid.NewV7()), "incident": id, "text": text})
}

// SettleIncident records that the clinic has responded. Doing it again changes
// nothing.
func (tx *Tx) SettleIncident(ctx context.Context, id newel.IncidentID) (err error) {
	defer wrap(&err, "settle incident %s", id)
	return tx.exec(ctx, `update incident i set settled_by = coalesce(i.settled_by, @scope_account), settled_at = coalesce(i.settled_at, @now)
		where $in(i) and $staff(i) and i.id = @id`, args{"id": id})
}

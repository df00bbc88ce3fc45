package postgres

import (
	"context"
	"errors"

	"newel/internal/newel"
)

// BeginReview opens a review led by the scope's own account. It ends the
// learner's open review, if any.
func (tx *Tx) BeginReview(ctx context.Context, r newel.Review) (err error) {
	defer wrap(&err, "begin review %s", r.ID)
	if err := errors.Join(tx.covers(r.FamilyID), tx.staff()); err != nil {
		return err
	}
	if err := tx.execAny(ctx, `update review r set ended_at = @now where $in(r) and $staff(r) and r.learner_id = @learner and r.ended_at is null`,
		args{"learner": r.LearnerID}); err != nil {
		return err
	}
	return tx.exec(ctx, `insert into review (clinic_id, family_id, id, learner_id, led_by, began_at)
		values (@scope_clinic, @family, @id, @learner, @scope_account, @now)`, args{"family": r.FamilyID, "id": r.ID, "learner": r.LearnerID})
}

const reviewColumns = `select r.id, r.family_id, r.learner_id, l.nickname as learner_name, r.led_by, coalesce(a.name, '') as led_by_name,
		r.placement_id, r.began_at, r.ended_at,
		coalesce((select jsonb_agg(jsonb_build_object('account', g.account_id, 'name', coalesce(p.name, b.name, ''), 'seen_at', g.seen_at) order by g.seen_at, g.account_id)
			from review_guest g
			left join account b on b.clinic_id = g.clinic_id and b.id = g.account_id
			left join person p on p.clinic_id = g.clinic_id and p.family_id = g.family_id and p.account_id = g.account_id
			where $in(g) and g.review_id = r.id), '[]') as guests,
		(select count(*) from agreed_action x where $in(x) and x.review_id = r.id) as agreed
	from review r
	join learner l on l.clinic_id = r.clinic_id and l.family_id = r.family_id and l.id = r.learner_id
	left join account a on a.clinic_id = r.clinic_id and a.id = r.led_by
	where $in(r)`

// Review returns one review with its participants.
func (tx *Tx) Review(ctx context.Context, id newel.ReviewID) (_ newel.Review, err error) {
	defer wrap(&err, "review %s", id)
	return one[newel.Review](ctx, tx, reviewColumns+` and r.id = @id`, args{"id": id})
}

// Reviews lists a learner's reviews, newest first.
func (tx *Tx) Reviews(ctx context.Context, learner newel.LearnerID) (_ []newel.Review, err error) {
	defer wrap(&err, "reviews of learner %s", learner)
	return many[newel.Review](ctx, tx, reviewColumns+` and r.learner_id = @learner order by r.began_at desc, r.id desc`, args{"learner": learner})
}

// TurnPage opens a page of an open review and makes the scope's own account its
// leader. A nil page is the list of agreed actions. It returns ErrNotFound if
// the review has ended.
func (tx *Tx) TurnPage(ctx context.Context, id newel.ReviewID, page *newel.PlacementID) (err error) {
	defer wrap(&err, "turn page of review %s", id)
	return tx.exec(ctx, `update review r set placement_id = @page, led_by = @scope_account
		where $in(r) and $staff(r) and r.id = @id and r.ended_at is null`, args{"id": id, "page": page})
}

// EndReview ends a review. It returns ErrNotFound if the review has already
// ended.
func (tx *Tx) EndReview(ctx context.Context, id newel.ReviewID) (err error) {
	defer wrap(&err, "end review %s", id)
	return tx.exec(ctx, `update review r set ended_at = @now where $in(r) and $staff(r) and r.id = @id and r.ended_at is null`, args{"id": id})
}

// Attend records that the scope's own account has a page of a review open.
func (tx *Tx) Attend(ctx context.Context, family newel.FamilyID, id newel.ReviewID) (err error) {
	defer wrap(&err, "attend review %s", id)
	if err := tx.covers(family); err != nil {
		return err
	}
	return tx.exec(ctx, `insert into review_guest (clinic_id, family_id, review_id, account_id, seen_at)
		values (@scope_clinic, @family, @id, @scope_account, @now)
		on conflict (clinic_id, review_id, account_id) do update set seen_at = @now`, args{"family": family, "id": id})
}

// AddAction stores an action agreed in a review.
func (tx *Tx) AddAction(ctx context.Context, a newel.Action) (err error) {
	defer wrap(&err, "add action %s", a.ID)
	if err := errors.Join(tx.covers(a.FamilyID), tx.staff()); err != nil {
		return err
	}
	return tx.exec(ctx, `insert into agreed_action (clinic_id, family_id, id, learner_id, review_id, text, whose, due_on, agreed_by, agreed_at)
		values (@scope_clinic, @family, @id, @learner, @review, @text, @whose, @due, @scope_account, @now)`,
		args{"family": a.FamilyID, "id": a.ID, "learner": a.LearnerID, "review": a.ReviewID, "text": a.Text, "whose": a.Whose, "due": a.DueOn})
}

const actionColumns = `select x.id, x.family_id, x.learner_id, l.nickname as learner_name, x.review_id, x.text, x.whose, x.due_on,
		coalesce(a.name, '') as agreed_by_name, x.agreed_at, coalesce(x.outcome, '') as outcome,
		coalesce(p.name, b.name, '') as settled_by_name, x.settled_at, f.time_zone
	from agreed_action x
	join learner l on l.clinic_id = x.clinic_id and l.family_id = x.family_id and l.id = x.learner_id
	join family f on f.clinic_id = x.clinic_id and f.id = x.family_id
	left join account a on a.clinic_id = x.clinic_id and a.id = x.agreed_by
	left join account b on b.clinic_id = x.clinic_id and b.id = x.settled_by
	left join person p on p.clinic_id = x.clinic_id and p.family_id = x.family_id and p.account_id = x.settled_by
	where $in(x)`

// Actions lists the agreed actions for a learner, next due first.
func (tx *Tx) Actions(ctx context.Context, learner newel.LearnerID) (_ []newel.Action, err error) {
	defer wrap(&err, "actions about learner %s", learner)
	return many[newel.Action](ctx, tx, actionColumns+` and x.learner_id = @learner order by x.due_on, x.agreed_at, x.id`, args{"learner": learner})
}

// OpenActions lists the agreed actions in scope that the family or the clinic
// still has to do, next due first.
func (tx *Tx) OpenActions(ctx context.Context, whose newel.ActionOwner) (_ []newel.Action, err error) {
	defer wrap(&err, "open actions of %s", whose)
	return many[newel.Action](ctx, tx, actionColumns+` and x.outcome is null and x.whose = @whose order by x.due_on, x.agreed_at, x.id`, args{"whose": whose})
}

// Action returns one agreed action.
func (tx *Tx) Action(ctx context.Context, id newel.ActionID) (_ newel.Action, err error) {
	defer wrap(&err, "action %s", id)
	return one[newel.Action](ctx, tx, actionColumns+` and x.id = @id`, args{"id": id})
}

// SettleAction records the outcome of an action, or that it is still to be
// done. It returns ErrNotFound if a family's scope tries to settle the clinic's
// action.
func (tx *Tx) SettleAction(ctx context.Context, id newel.ActionID, outcome newel.Outcome) (err error) {
	defer wrap(&err, "settle action %s", id)
	return tx.exec(ctx, `update agreed_action x set outcome = nullif(@outcome, ''),
			settled_by = case when @outcome <> '' then @scope_account::uuid end, settled_at = case when @outcome <> '' then @now::timestamptz end
		where $in(x) and (x.whose = 'family' or $staff(x)) and x.id = @id`, args{"id": id, "outcome": string(outcome)})
}

// ReviewPage is a page that a review can show: a step that the learner is
// currently taught.
type ReviewPage struct {
	PlacementID newel.PlacementID
	Program     string
	Role        string
	StepLabel   string
}

// ReviewPages lists the pages for a learner, by program.
func (tx *Tx) ReviewPages(ctx context.Context, learner newel.LearnerID) (_ []ReviewPage, err error) {
	defer wrap(&err, "review pages of learner %s", learner)
	return many[ReviewPage](ctx, tx, `select p.id as placement_id, v.document ->> 'title' as program, s.role, s.label as step_label
		from placement p
		join assignment a on a.clinic_id = p.clinic_id and a.family_id = p.family_id and a.id = p.assignment_id
		join version v on v.clinic_id = p.clinic_id and v.id = p.version_id
		join step s on s.clinic_id = p.clinic_id and s.version_id = p.version_id and s.key = p.step_key
		where $in(p) and $in(a) and $clinic(v) and $clinic(s) and a.learner_id = @learner and p.ended_at is null and a.state <> 'finished'
		order by program, s.place, p.id`, args{"learner": learner})
}

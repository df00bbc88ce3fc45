package postgres

import (
	"context"
	"time"

	"newel/internal/newel"
)

// AddPicture stores a picture. An existing one stays as it is.
func (tx *Tx) AddPicture(ctx context.Context, p newel.Picture) (err error) {
	defer wrap(&err, "add picture %s", p.SHA256)
	if err := tx.staff(); err != nil {
		return err
	}
	// Wait while unused pictures are being removed: this may be one of them.
	if err := tx.execAny(ctx, `select pg_advisory_xact_lock_shared(hashtextextended(@lock, 0))`, args{"lock": tx.pictureLock()}); err != nil {
		return err
	}
	return tx.execAny(ctx, `insert into picture (clinic_id, sha256, kind, width, height, body, made_by, made_at)
		values (@scope_clinic, decode(@sha256, 'hex'), @kind, @width, @height, @body, @scope_account, @now)
		on conflict (clinic_id, sha256) do nothing`,
		args{"sha256": p.SHA256, "kind": p.Kind, "width": p.Width, "height": p.Height, "body": p.Body})
}

func (tx *Tx) pictureLock() string { return "newel: pictures of " + tx.scope.Clinic.String() }

// ClearPictures removes pictures created before a time that no version, draft
// or draft state uses, and returns how many.
func (tx *Tx) ClearPictures(ctx context.Context, before time.Time) (n int, err error) {
	defer wrap(&err, "clear pictures")
	if err := tx.execAny(ctx, `select pg_advisory_xact_lock(hashtextextended(@lock, 0))`, args{"lock": tx.pictureLock()}); err != nil {
		return 0, err
	}
	cleared, err := one[struct{ N int }](ctx, tx, `
		with written as (
			select document from draft d where $staff(d) union all select document from draft_state t where $staff(t)
		), shown as (
			select jsonb_path_query(document, '$.strands[*].steps[*].picture.sha256') #>> '{}' as sha256 from written
			union select jsonb_path_query(document, '$.strands[*].steps[*].targets[*].picture.sha256') #>> '{}' from written
		), gone as (
			delete from picture x where $staff(x) and made_at < @before
				and not exists (select from step_picture s where s.clinic_id = x.clinic_id and s.sha256 = x.sha256)
				and not exists (select from shown where shown.sha256 = encode(x.sha256, 'hex'))
			returning 1
		)
		select count(*)::int as n from gone`, args{"before": before})
	return cleared.N, err
}

// Picture returns a picture. Staff reach all pictures of the clinic; a family
// reaches those on steps that its learner is or was taught.
func (tx *Tx) Picture(ctx context.Context, sha256 string) (_ newel.Picture, err error) {
	defer wrap(&err, "picture %s", sha256)
	return one[newel.Picture](ctx, tx, `select encode(x.sha256, 'hex') as sha256, x.kind, x.width, x.height, x.body from picture x
		where encode(x.sha256, 'hex') = @sha256 and ($staff(x) or $clinic(x) and exists (select from step_picture s
			join placement p on p.clinic_id = s.clinic_id and p.version_id = s.version_id and p.step_key = s.step_key
			where $in(p) and $clinic(s) and s.sha256 = x.sha256))`, args{"sha256": sha256})
}

// KnownPictures lists the hashes for which the clinic has a picture.
func (tx *Tx) KnownPictures(ctx context.Context, sums []string) (_ []string, err error) {
	defer wrap(&err, "known pictures")
	rows, err := many[struct{ SHA256 string }](ctx, tx, `select encode(x.sha256, 'hex') as sha256 from picture x
		where $staff(x) and encode(x.sha256, 'hex') = any (@sums::text[]) order by 1`, args{"sums": sums})
	var known []string
	for _, row := range rows {
		known = append(known, row.SHA256)
	}
	return known, err
}

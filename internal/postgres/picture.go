package postgres

import (
	"context"

	"newel/internal/newel"
)

// AddPicture keeps a picture; one that is there already stays as it is.
func (tx *Tx) AddPicture(ctx context.Context, p newel.Picture) (err error) {
	defer wrap(&err, "add picture %s", p.SHA256)
	if err := tx.staff(); err != nil {
		return err
	}
	return tx.execAny(ctx, `insert into picture (clinic_id, sha256, kind, width, height, body, made_by, made_at)
		values (@scope_clinic, decode(@sha256, 'hex'), @kind, @width, @height, @body, @scope_account, @now)
		on conflict (clinic_id, sha256) do nothing`,
		args{"sha256": p.SHA256, "kind": p.Kind, "width": p.Width, "height": p.Height, "body": p.Body})
}

// Picture gives a picture: to staff each of the clinic's, to a family those
// on steps that its learner is or was taught.
func (tx *Tx) Picture(ctx context.Context, sha256 string) (_ newel.Picture, err error) {
	defer wrap(&err, "picture %s", sha256)
	return one[newel.Picture](ctx, tx, `select encode(x.sha256, 'hex') as sha256, x.kind, x.width, x.height, x.body from picture x
		where encode(x.sha256, 'hex') = @sha256 and ($staff(x) or $clinic(x) and exists (select from step_picture s
			join placement p on p.clinic_id = s.clinic_id and p.version_id = s.version_id and p.step_key = s.step_key
			where $in(p) and $clinic(s) and s.sha256 = x.sha256))`, args{"sha256": sha256})
}

// KnownPictures lists those of the hashes of which the clinic has a picture.
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

package postgres_test

import (
	"context"
	"strings"
	"testing"
	"time"

	"newel/internal/newel"
	"newel/internal/pgtest/tenants"
	"newel/internal/postgres"
	"newel/internal/recording"
)

const ofOwnClinic = "the clinic's own key, which all of its phones may use; keys of other clinics are out of reach (TestClinicRowsAreOutOfReach)"

var phoneDeeds = map[string][]deed{
	"NewestPhoneKey": {{of: theStaff, adds: ofOwnClinic, call: func(ctx context.Context, tx *postgres.Tx, _ victim, _ tenants.Family) (any, error) {
		return tx.NewestPhoneKey(ctx)
	}}},
	"PhoneKey": {{of: theStaff, adds: ofOwnClinic, call: func(ctx context.Context, tx *postgres.Tx, v victim, _ tenants.Family) (any, error) {
		return tx.PhoneKey(ctx, v.C.PhoneKey)
	}}},
	"AddPhoneKey": {{of: theStaff, adds: ofOwnClinic, call: func(ctx context.Context, tx *postgres.Tx, _ victim, _ tenants.Family) (any, error) {
		return nil, tx.AddPhoneKey(ctx, postgres.PhoneKey{ID: fresh[newel.PhoneKeyID](), PrivateKey: []byte{1}})
	}}},

	"AddPicture": {{of: theStaff, adds: addsOwn, call: func(ctx context.Context, tx *postgres.Tx, _ victim, _ tenants.Family) (any, error) {
		return nil, tx.AddPicture(ctx, newel.Picture{SHA256: strings.Repeat("ab", 32), Kind: newel.PNG, Width: 1, Height: 1, Body: []byte{1}})
	}}},
	"ClearPictures": {{of: theStaff, adds: "it clears pictures of the caller's own clinic and counts them", call: func(ctx context.Context, tx *postgres.Tx, _ victim, _ tenants.Family) (any, error) {
		return tx.ClearPictures(ctx, tenants.Now)
	}}},
	"Picture": {{of: oneAccount, call: func(ctx context.Context, tx *postgres.Tx, v victim, _ tenants.Family) (any, error) {
		p, err := tx.Picture(ctx, v.Picture())
		return map[string]string{"body": string(p.Body)}, err
	}}},
	"KnownPictures": {{of: theStaff, call: func(ctx context.Context, tx *postgres.Tx, v victim, _ tenants.Family) (any, error) {
		list, err := tx.KnownPictures(ctx, []string{v.Picture()})
		if err != nil || len(list) == 0 {
			return list, err
		}
		return map[string]any{"of": v.Program, "list": list}, nil
	}}},

	"Talk": {{call: func(ctx context.Context, tx *postgres.Tx, v victim, _ tenants.Family) (any, error) {
		return tx.Talk(ctx, v.Talk)
	}}},
	"Talks": {{call: func(ctx context.Context, tx *postgres.Tx, v victim, _ tenants.Family) (any, error) {
		list, err := tx.Talks(ctx, v.Assignment)
		return list, err
	}}},
	"Training": {{call: func(ctx context.Context, tx *postgres.Tx, v victim, _ tenants.Family) (any, error) {
		return tx.Training(ctx, v.ID)
	}}},
	"TrainingEntry": {{call: func(ctx context.Context, tx *postgres.Tx, v victim, _ tenants.Family) (any, error) {
		return tx.TrainingEntry(ctx, v.Training)
	}}},
	"AddTraining": {
		{call: func(ctx context.Context, tx *postgres.Tx, v victim, _ tenants.Family) (any, error) {
			return nil, addTraining(ctx, tx, v.ID, v)
		}},
		{call: func(ctx context.Context, tx *postgres.Tx, v victim, own tenants.Family) (any, error) {
			return nil, addTraining(ctx, tx, own.ID, v)
		}, mixes: true},
	},
	"AddTalk": {
		{call: func(ctx context.Context, tx *postgres.Tx, v victim, _ tenants.Family) (any, error) {
			return nil, tx.AddTalk(ctx, newel.Talk{ID: fresh[newel.TalkID](), FamilyID: v.ID, Assignment: v.Assignment, TalkedAt: tenants.Now})
		}},
		{mixes: true, call: func(ctx context.Context, tx *postgres.Tx, v victim, own tenants.Family) (any, error) {
			return nil, tx.AddTalk(ctx, newel.Talk{ID: fresh[newel.TalkID](), FamilyID: own.ID, Assignment: v.Assignment, TalkedAt: tenants.Now})
		}},
	},
	"LastNo": {{blank: true, adds: "it returns nothing for an assignment out of reach", call: func(ctx context.Context, tx *postgres.Tx, v victim, _ tenants.Family) (any, error) {
		at, err := tx.LastNo(ctx, v.Assignment)
		return map[string]any{"of": v.Assignment, "at": at}, err
	}}},

	"Overlapping": {{adds: "it lists none for a session out of reach (TestOverlapping)", call: func(ctx context.Context, tx *postgres.Tx, v victim, _ tenants.Family) (any, error) {
		list, err := tx.Overlapping(ctx, v.Recording)
		return map[string]any{"of": v.Recording, "list": list}, err
	}}},

	"Twins": {{adds: "it lists none for a session out of reach (TestOverlapping)", call: func(ctx context.Context, tx *postgres.Tx, v victim, _ tenants.Family) (any, error) {
		list, err := tx.Twins(ctx, v.Placement, newel.RecordingID{}, 20)
		return map[string]any{"of": v.Placement, "list": list}, err
	}}},

	"CheckReceipts": {{
		of: oneAccount, adds: "it reports other accounts' recordings as unknown",
		call: func(ctx context.Context, tx *postgres.Tx, v victim, _ tenants.Family) (any, error) {
			return tx.CheckReceipts(ctx, []newel.RecordingID{v.Recording, v.Quarantined}, []string{"", ""})
		},
	}},
	"ReportUnsent": {{of: oneAccount, call: func(ctx context.Context, tx *postgres.Tx, v victim, _ tenants.Family) (any, error) {
		list, err := tx.ReportUnsent(ctx, v.Device, []newel.RecordingID{v.Running}, nil)
		if err != nil {
			return nil, err
		}
		return list, nil
	}}},
	"OwnPIN": {{of: oneAccount, call: func(ctx context.Context, tx *postgres.Tx, v victim, _ tenants.Family) (any, error) {
		return tx.OwnPIN(ctx, v.Device)
	}}},
	"TryPIN": {{of: oneAccount, call: func(ctx context.Context, tx *postgres.Tx, v victim, _ tenants.Family) (any, error) {
		return tx.TryPIN(ctx, v.Device, 5, time.Second)
	}}},
	"LockUntilPIN": {{of: oneAccount, call: func(ctx context.Context, tx *postgres.Tx, v victim, _ tenants.Family) (any, error) {
		return nil, tx.LockUntilPIN(ctx, v.Device)
	}}},
	"PassPIN": {{of: oneAccount, call: func(ctx context.Context, tx *postgres.Tx, v victim, _ tenants.Family) (any, error) {
		return nil, tx.PassPIN(ctx, v.Device)
	}}},
	"SetPIN": {{of: oneAccount, call: func(ctx context.Context, tx *postgres.Tx, v victim, _ tenants.Family) (any, error) {
		return nil, tx.SetPIN(ctx, v.Device, "taken")
	}}},

	"QuarantinedFrom": {{call: func(ctx context.Context, tx *postgres.Tx, v victim, _ tenants.Family) (any, error) {
		return tx.QuarantinedFrom(ctx, v.Caregiver, v.Quarantined)
	}}},
	"QuarantineFor": {{call: func(ctx context.Context, tx *postgres.Tx, v victim, _ tenants.Family) (any, error) {
		d := tenants.Session{ID: v.Quarantined, Placement: v.Placement, Author: v.Caregiver, By: v.Person, Mark: "handed in", Target: v.Target}.Document()
		state := recording.Of(d)
		return nil, tx.QuarantineFor(ctx, v.Caregiver, state, v.Placement, "file", recording.MakeReceipt(state, d.Contract, d.Encode(), tenants.Now))
	}}},
}

// TestOverlapping checks that a session recorded by two phones is visible to
// those who reach the family and to no one else, with either safeguard alone.
func TestOverlapping(t *testing.T) {
	t.Parallel()
	db, w := tenants.New(t)
	one, two := w.Here.Families[0], w.Here.Families[1]
	if _, err := db.Bypass.Exec(t.Context(), `update recording r set closed = true, started_at = o.started_at, ended_at = o.ended_at, author_id = $3
		from recording o where r.id = $1 and o.id = $2`, one.Running, one.Recording, one.Supervisor); err != nil {
		t.Fatal(err)
	}
	for _, mode := range modes(db) {
		for name, c := range map[string]struct {
			scope newel.Scope
			want  int
		}{
			"supervisor": {one.SupervisorScope(), 1}, "another's supervisor": {two.SupervisorScope(), 0}, "another clinic's lead": {w.Elsewhere.LeadScope(), 0},
		} {
			err := mode.db.InScope(t.Context(), c.scope, func(tx *postgres.Tx) error {
				list, err := tx.Overlapping(t.Context(), one.Recording)
				if len(list) != c.want {
					t.Errorf("%s, %s: %v", mode.name, name, list)
				}
				if err != nil {
					return err
				}
				for _, only := range []newel.RecordingID{{}, one.Recording, one.Running} {
					twins, err := tx.Twins(t.Context(), one.Placement, only, 20)
					if err != nil {
						return err
					}
					if len(twins) != c.want {
						t.Errorf("%s, %s: twins of %v: %v", mode.name, name, only, twins)
					}
				}
				return nil
			})
			if err != nil {
				t.Errorf("%s, %s: %v", mode.name, name, err)
			}
		}
	}
}

func addTraining(ctx context.Context, tx *postgres.Tx, family newel.FamilyID, v victim) error {
	return tx.AddTraining(ctx, newel.Training{
		ID: fresh[newel.TrainingID](), FamilyID: family, PersonID: v.Person, ProgramID: v.Program, State: newel.TrainingAlone, SetAt: tenants.Now,
	})
}

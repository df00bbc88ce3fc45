package postgres_test

import (
	"context"
	"errors"
	"reflect"
	"strings"
	"testing"

	"newel/internal/account"
	"newel/internal/newel"
	"newel/internal/pgtest/tenants"
	"newel/internal/postgres"
)

// keyed is a method that crosses clinics, with what it finds in a transaction
// that holds the key.
type keyed struct {
	key  func(v victim) string
	find func(ctx context.Context, tx *postgres.Tx, key string) (any, error)
}

var keyedMethods = map[string]keyed{
	"UnscopedClinics": {
		key: func(victim) string { return postgres.KeyStart },
		find: func(ctx context.Context, tx *postgres.Tx, _ string) (any, error) {
			return tx.UnscopedClinics(ctx)
		},
	},
	"UnscopedCredential": {
		key: func(v victim) string { return strings.ToLower(v.AccountMark) + "supervisor@example.org" },
		find: func(ctx context.Context, tx *postgres.Tx, key string) (any, error) {
			return tx.UnscopedCredential(ctx, key)
		},
	},
	"UnscopedDevice": {
		key: func(v victim) string { return account.TokenHash(v.DeviceToken) },
		find: func(ctx context.Context, tx *postgres.Tx, key string) (any, error) {
			return tx.UnscopedDevice(ctx, key)
		},
	},
	"UnscopedInvitation": {
		key: func(v victim) string { return account.TokenHash(v.InvitationToken) },
		find: func(ctx context.Context, tx *postgres.Tx, key string) (any, error) {
			return tx.UnscopedInvitation(ctx, key)
		},
	},
	"UnscopedSetupLink": {
		key: func(v victim) string { return account.TokenHash(v.C.SetupToken) },
		find: func(ctx context.Context, tx *postgres.Tx, key string) (any, error) {
			return tx.UnscopedSetupLink(ctx, key)
		},
	},
}

// TestKeys checks that a method that crosses clinics finds its one row with the
// matching key, and nothing with another key or in any scope.
func TestKeys(t *testing.T) {
	t.Parallel()
	pg, w := tenants.New(t)
	v := victim{w.Here.Families[0], w.Here}
	db := postgres.FromPool(pg.App, clock)
	of := reflect.TypeFor[*postgres.Tx]()
	for i := range of.NumMethod() {
		name := of.Method(i).Name
		if !strings.HasPrefix(name, "Unscoped") {
			continue
		}
		m, ok := keyedMethods[name]
		if !ok {
			t.Errorf("%s is not tested with a key: add it to the table", name)
			continue
		}
		key := m.key(v)
		err := db.WithKey(t.Context(), key, func(tx *postgres.Tx) error {
			got, err := m.find(t.Context(), tx, key)
			if err == nil && tenants.Found(text(t, got), w.Here.Traces()) == "" {
				t.Errorf("%s: found %s with the key", name, text(t, got))
			}
			return err
		})
		if err != nil {
			t.Errorf("%s: with its key: %v", name, err)
		}
		nothing := func(how string) func(tx *postgres.Tx) error {
			return func(tx *postgres.Tx) error {
				got, err := m.find(t.Context(), tx, key)
				if trace := tenants.Found(text(t, got), w.Here.Traces()); trace != "" {
					t.Errorf("%s %s: found %s", name, how, text(t, got))
				}
				if err != nil && !errors.Is(err, newel.ErrNotFound) {
					t.Errorf("%s %s: %v", name, how, err)
				}
				return nil
			}
		}
		_ = db.WithKey(t.Context(), "another", nothing("with a different key"))
		_ = db.WithKey(t.Context(), "", nothing("with an empty key"))
		_ = db.InScope(t.Context(), w.Elsewhere.LeadScope(), nothing("in another clinic"))
		_ = db.InScope(t.Context(), newel.Scope{}, nothing("with an empty scope"))
	}
}

// TestKeysOpenNothingElse checks that a key shows its own row and no lists.
func TestKeysOpenNothingElse(t *testing.T) {
	t.Parallel()
	pg, w := tenants.New(t)
	v := victim{w.Here.Families[0], w.Here}
	for name, m := range keyedMethods {
		err := postgres.Unconditional(postgres.FromPool(pg.App, clock)).WithKey(t.Context(), m.key(v), func(tx *postgres.Tx) error {
			for list, call := range map[string]func() (any, error){
				"families": func() (any, error) { return tx.Families(t.Context()) },
				"learners": func() (any, error) { return tx.Learners(t.Context()) },
				"programs": func() (any, error) { return tx.Programs(t.Context()) },
				"staff":    func() (any, error) { return tx.Staff(t.Context()) },
				"deeds":    func() (any, error) { return tx.Deeds(t.Context(), 10) },
			} {
				got, err := call()
				if err != nil || reflect.ValueOf(got).Len() > 0 {
					t.Errorf("the key of %s lists %s: %s, %v", name, list, text(t, got), err)
				}
			}
			return nil
		})
		if err != nil {
			t.Errorf("%s: %v", name, err)
		}
	}
}

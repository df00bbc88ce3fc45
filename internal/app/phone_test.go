package app_test

import (
	"encoding/json"
	"errors"
	"log/slog"
	"sync"
	"testing"

	"newel/internal/app"
	"newel/internal/fixture/phone"
	"newel/internal/newel"
	"newel/internal/postgres"
	"newel/internal/recording"
)

// sealer encrypts as the caregiver's phone does. The server has decrypted with
// the key before, as on every day except the first.
type sealer struct {
	key newel.SealKey
}

func newSealer(t testing.TB, b *bench) sealer {
	t.Helper()
	day, err := b.app.PhoneDay(t.Context(), b.Home.Caregiver, app.PhoneReport{})
	if err != nil {
		t.Fatal(err)
	}
	s := sealer{day.SealKey}
	if _, err := b.app.StoreRecording(t.Context(), b.Home.Caregiver, s.seal(t, b.session("", 0).Document())); err != nil {
		t.Fatal(err)
	}
	return s
}

func (s sealer) seal(t testing.TB, d recording.Document) app.Delivered {
	t.Helper()
	sealed := phone.Seal(t, s.key, d.ID, d.Encode())
	body, err := json.Marshal(sealed)
	if err != nil {
		t.Fatal(err)
	}
	return app.Delivered{ID: d.ID, Body: body, Sealed: true}
}

// TestFirstKeys checks that several phones may request the very first key at
// once. Whatever key each gets, the server can decrypt with it, even in a
// process that did not create it.
func TestFirstKeys(t *testing.T) {
	t.Parallel()
	b := newBench(t)
	keys := make([]newel.SealKey, 4)
	var all sync.WaitGroup
	for i := range keys {
		all.Go(func() {
			day, err := b.app.PhoneDay(t.Context(), b.Home.Caregiver, app.PhoneReport{})
			if err != nil {
				t.Error(err)
			}
			keys[i] = day.SealKey
		})
	}
	all.Wait()
	other := app.New(postgres.FromPool(b.DB.App, b.now), slog.New(slog.DiscardHandler), b.now)
	for _, key := range keys {
		in := sealer{key}.seal(t, b.session("a", 0).Document())
		if stored, err := other.StoreRecording(t.Context(), b.Home.Caregiver, in); err != nil || !stored.Receipt.Closed {
			t.Errorf("%+v, %v", stored, err)
		}
	}
}

// TestKeysOfAnotherClinic checks that they decrypt nothing here.
func TestKeysOfAnotherClinic(t *testing.T) {
	t.Parallel()
	b := newBench(t)
	elsewhere := benchOn(t, b.DB, b.DB.App)
	day, err := elsewhere.app.PhoneDay(t.Context(), elsewhere.Home.Caregiver, app.PhoneReport{})
	if err != nil {
		t.Fatal(err)
	}
	var invalid *recording.InvalidError
	_, err = b.app.StoreRecording(t.Context(), b.Home.Caregiver, sealer{day.SealKey}.seal(t, b.session("a", 0).Document()))
	if !errors.As(err, &invalid) || invalid.Path != "key" {
		t.Errorf("got %v", err)
	}
}

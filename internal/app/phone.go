package app

import (
	"context"
	"crypto/ecdh"
	"crypto/rand"
	"encoding/base64"
	"errors"
	"fmt"
	"time"

	"newel/internal/criterion"
	"newel/internal/newel"
	"newel/internal/postgres"
	"newel/internal/program"
	"newel/internal/reading"
	"newel/internal/recording"
	"newel/internal/timezone"
)

// PhoneReport is a phone's status when it requests its day.
type PhoneReport struct {
	// Unsent lists recordings that the phone holds without a confirmation; nil
	// if it does not report them.
	Unsent []newel.RecordingID
	Told   []newel.RecordingID // recordings whose loss the person has been told of
}

// PhoneDay returns what a phone needs until it is online again. Actors who may
// record but have no day of their own get no learners and no kits.
func (a *App) PhoneDay(ctx context.Context, actor newel.Actor, report PhoneReport) (day program.PhoneDay, err error) {
	permission := newel.RecordSession
	if actor.Can(newel.TeachToday) {
		permission = newel.TeachToday
	}
	err = a.act(ctx, actor, permission, func(tx *postgres.Tx) error {
		day = program.PhoneDay{
			Contract: program.DayContract, AsOf: tx.Now(), Account: actor.Account, Name: actor.Name,
			Learners: []program.DayLearner{}, Kits: []program.DayKit{}, Lost: []newel.RecordingID{},
		}
		if permission == newel.TeachToday {
			if err := fillDay(ctx, tx, actor, &day); err != nil {
				return err
			}
		}
		if err := fillDevice(ctx, tx, actor, report, &day); err != nil {
			return err
		}
		day.SealKey, err = a.sealKey(ctx, tx)
		return err
	})
	return day, err
}

func fillDay(ctx context.Context, tx *postgres.Tx, actor newel.Actor, day *program.PhoneDay) error {
	rows, err := tx.TaughtNow(ctx)
	if err != nil {
		return err
	}
	besides, err := tx.TaughtBesides(ctx)
	if err != nil {
		return err
	}
	records, err := recordsOf(ctx, tx)
	if err != nil {
		return err
	}
	zone := "UTC"
	if all := append(rows[:len(rows):len(rows)], besides...); len(all) > 0 {
		zone = all[0].TimeZone
	}
	location, err := timezone.Load(zone)
	if err != nil {
		return fmt.Errorf("time zone: %w", err)
	}
	day.Today = newel.DayOf(tx.Now(), location)
	kits := dayKits{tx: tx, self: actor.Account, homes: map[newel.FamilyID]dayHome{}}
	if kits.tallies, err = talliesOf(ctx, tx, rows); err != nil {
		return err
	}
	if kits.plans, err = plansAhead(ctx, tx); err != nil {
		return err
	}
	checks, err := dueChecks(ctx, tx)
	if err != nil {
		return err
	}
	for _, l := range reading.TodayOf(rows, besides) {
		out := program.DayLearner{
			ID: l.Learner.ID, Nickname: l.Learner.Nickname, StopSigns: l.Learner.Care.StopSigns, Alerts: l.Learner.Care.Alerts,
			Others: []program.DayOffer{}, Resting: []program.DayOffer{}, Checks: []program.DayCheck{},
			Paused: programsOf(l.Paused), Finished: programsOf(l.Finished),
		}
		records.fill(&out, day.Today)
		for _, c := range checks[l.Learner.ID] {
			out.Checks = append(out.Checks, kits.check(ctx, c))
		}
		if l.Next != nil {
			offer := kits.offer(ctx, *l.Next)
			out.Next = &offer
		}
		for _, t := range l.Others {
			out.Others = append(out.Others, kits.offer(ctx, t))
		}
		for _, t := range l.Resting {
			out.Resting = append(out.Resting, kits.offer(ctx, t))
		}
		day.Learners = append(day.Learners, out)
	}
	day.Kits = append(day.Kits, kits.list...)
	if kits.err != nil {
		return kits.err
	}
	pending, err := tx.PendingForFamilies(ctx)
	for _, w := range pending {
		switch w.Kind {
		case newel.PendingQuestion:
			day.Questions++
		case newel.PendingAction:
			day.Agreed++
		case newel.PendingMessage:
			day.Messages++
		case newel.PendingReview:
			day.Review = w.ID.String()
		}
	}
	return err
}

// dayRecords holds what a day takes from the records of the actor's families.
type dayRecords struct {
	today, steps []newel.DaySession
	learned      []newel.LearnedStep
}

func recordsOf(ctx context.Context, tx *postgres.Tx) (r dayRecords, err error) {
	if r.today, err = tx.SessionsToday(ctx); err != nil {
		return r, err
	}
	if r.steps, err = tx.EarlyAndLate(ctx); err != nil {
		return r, err
	}
	r.learned, err = tx.LearnedLately(ctx)
	return r, err
}

// fill adds a learner's sessions of today and a fact from earlier ones.
func (r dayRecords) fill(out *program.DayLearner, today newel.Day) {
	out.Done, out.Begun = []program.DaySession{}, []program.DaySession{}
	var steps []newel.DaySession
	var learned []newel.LearnedStep
	for _, s := range r.today {
		switch {
		case s.LearnerID != out.ID:
		case s.Closed:
			out.Done = append(out.Done, reading.SessionOf(s))
		default:
			out.Begun = append(out.Begun, reading.SessionOf(s))
		}
	}
	for _, s := range r.steps {
		if s.LearnerID == out.ID {
			steps = append(steps, s)
		}
	}
	for _, l := range r.learned {
		if l.LearnerID == out.ID {
			learned = append(learned, l)
		}
	}
	out.Fact = reading.FactOf(steps, learned, today)
}

func programsOf(rows []reading.Taught) []program.DayProgram {
	out := []program.DayProgram{}
	for _, t := range rows {
		out = append(out, reading.ProgramOf(t))
	}
	return out
}

// dayKits collects offers with their kits. It loads the data of each family
// once.
type dayKits struct {
	tx      *postgres.Tx
	self    newel.AccountID
	homes   map[newel.FamilyID]dayHome
	tallies map[newel.PlacementID]program.SessionTally
	plans   map[newel.PlacementID]criterion.Kind
	list    []program.DayKit
	err     error
}

// dayHome holds the people who teach in a family, and their training.
type dayHome struct {
	people  []newel.Person
	entries []newel.Training
}

func (k *dayKits) offer(ctx context.Context, t reading.Taught) program.DayOffer {
	offer := reading.OfferOf(t, k.tallies[t.PlacementID], k.plans[t.PlacementID])
	offer.Start = k.add(ctx, t)
	return offer
}

// add adds the kit of a placement, and returns who may start it.
func (k *dayKits) add(ctx context.Context, t reading.Taught) (start program.DayStart) {
	home, ok := k.homes[t.FamilyID]
	if !ok && k.err == nil {
		home, k.err = homeOf(ctx, k.tx, t.FamilyID)
		k.homes[t.FamilyID] = home
	}
	if k.err != nil {
		return start
	}
	kit := reading.KitOf(t, home.people, k.self)
	_, hash, err := kit.Body()
	k.list, k.err = append(k.list, program.DayKit{Hash: hash, Kit: kit}), err
	return startOf(t, home, k.self)
}

// fillDevice adds the stored status of the browser itself.
func fillDevice(ctx context.Context, tx *postgres.Tx, actor newel.Actor, report PhoneReport, day *program.PhoneDay) error {
	if actor.Device.IsZero() {
		return nil
	}
	day.Device = actor.Device.String()
	pin, err := tx.OwnPIN(ctx, actor.Device)
	if err != nil {
		return err
	}
	day.PINSet = pin.Set()
	if report.Unsent == nil {
		return nil
	}
	lost, err := tx.ReportUnsent(ctx, actor.Device, report.Unsent, report.Told)
	day.Lost = append(day.Lost, lost...)
	return err
}

// sealKey returns the public key that phones encrypt to; the first request
// creates it. Two concurrent requests may each create one; both can then
// decrypt.
func (a *App) sealKey(ctx context.Context, tx *postgres.Tx) (newel.SealKey, error) {
	kept, err := tx.NewestPhoneKey(ctx)
	if errors.Is(err, newel.ErrNotFound) {
		kept, err = newPhoneKey(ctx, tx)
	}
	if err != nil {
		return newel.SealKey{}, err
	}
	private, err := ecdh.P256().NewPrivateKey(kept.PrivateKey)
	if err != nil {
		return newel.SealKey{}, fmt.Errorf("phone key %s: %w", kept.ID, err)
	}
	return jwkOf(kept.ID, private.PublicKey()), nil
}

func newPhoneKey(ctx context.Context, tx *postgres.Tx) (postgres.PhoneKey, error) {
	fresh, err := ecdh.P256().GenerateKey(rand.Reader)
	if err != nil {
		return postgres.PhoneKey{}, fmt.Errorf("make phone key: %w", err)
	}
	key := postgres.PhoneKey{ID: newel.NewID[newel.PhoneKeyID](), PrivateKey: fresh.Bytes()}
	return key, tx.AddPhoneKey(ctx, key)
}

// RenewPhoneKeys creates a new key pair for every clinic, which phones use from
// their next day on, and returns the number of keys. Older keys are kept: a
// phone that was away for months may still send data encrypted to one, and
// nothing shows when the last has.
func (a *App) RenewPhoneKeys(ctx context.Context) (int, error) {
	clinics, err := a.clinics(ctx)
	if err != nil {
		return 0, err
	}
	for i, clinic := range clinics {
		err := a.db.InScope(ctx, wholeClinic(clinic), func(tx *postgres.Tx) error {
			key, err := newPhoneKey(ctx, tx)
			if err != nil {
				return err
			}
			return tx.Note(ctx, "clinic.phone_key", newel.FamilyID{}, key.ID.UUID)
		})
		if err != nil {
			return i, err
		}
	}
	return len(clinics), nil
}

// jwkOf formats a public key by RFC 7518, 6.2.1: the point's coordinates, 32
// bytes each on P-256.
func jwkOf(id newel.PhoneKeyID, key *ecdh.PublicKey) newel.SealKey {
	raw, b64 := key.Bytes(), base64.RawURLEncoding.EncodeToString
	return newel.SealKey{KeyID: id.String(), Type: "EC", Curve: "P-256", X: b64(raw[1:33]), Y: b64(raw[33:])}
}

// phoneKeyOf identifies a key among those of all clinics.
type phoneKeyOf struct {
	clinic newel.ClinicID
	id     newel.PhoneKeyID
}

// opened returns the decrypted document. Keys never change, so it caches them.
// The error is an *recording.InvalidError if decryption fails.
func (a *App) opened(ctx context.Context, actor newel.Actor, s recording.Sealed) ([]byte, error) {
	name := phoneKeyOf{actor.Clinic, s.Key}
	if known, ok := a.phoneKeys.Load(name); ok {
		return s.Open(known.(*ecdh.PrivateKey))
	}
	var kept postgres.PhoneKey
	err := a.act(ctx, actor, newel.RecordSession, func(tx *postgres.Tx) (err error) {
		kept, err = tx.PhoneKey(ctx, s.Key)
		return err
	})
	if errors.Is(err, newel.ErrNotFound) {
		return nil, recording.UnknownKey()
	}
	if err != nil {
		return nil, err
	}
	key, err := ecdh.P256().NewPrivateKey(kept.PrivateKey)
	if err != nil {
		return nil, fmt.Errorf("phone key %s: %w", s.Key, err)
	}
	a.phoneKeys.Store(name, key)
	return s.Open(key)
}

// documentIn returns the document of a delivery, decrypted if necessary.
func (a *App) documentIn(ctx context.Context, actor newel.Actor, in Delivered) (recording.Document, error) {
	if !in.Sealed {
		return recording.Decode(in.Body)
	}
	sealed, err := recording.DecodeSealed(in.Body)
	if err != nil {
		return recording.Document{}, err
	}
	if sealed.ID != in.ID {
		return recording.Document{}, &recording.InvalidError{Path: "id", Problem: "is not the one in the address"}
	}
	body, err := a.opened(ctx, actor, sealed)
	if err != nil {
		return recording.Document{}, err
	}
	return recording.Decode(body)
}

// CheckReceipts reports again what is stored of the actor's recordings.
// bodies[i] is the hash of the last body of ids[i] that got a receipt, or
// empty.
func (a *App) CheckReceipts(ctx context.Context, actor newel.Actor, ids []newel.RecordingID, bodies []string) (out recording.Receipts, err error) {
	out = recording.Receipts{Contract: recording.Contract, Receipts: []recording.Checked{}}
	err = a.act(ctx, actor, newel.RecordSession, func(tx *postgres.Tx) error {
		list, err := tx.CheckReceipts(ctx, ids, bodies)
		out.Receipts = append(out.Receipts, list...)
		return err
	})
	return out, err
}

// correctedTime corrects for the phone's clock: it subtracts the age at
// sending, by the phone's clock, from now. The result is never later than now.
func correctedTime(at, sent, now time.Time) time.Time {
	if !sent.IsZero() {
		at = now.Add(-max(0, sent.Sub(at)))
	}
	if at.After(now) {
		return now
	}
	return at
}

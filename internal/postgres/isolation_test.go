package postgres_test

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"maps"
	"reflect"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/jackc/pgx/v5/pgxpool"

	"newel/internal/newel"
	"newel/internal/pgtest"
	"newel/internal/pgtest/tenants"
	"newel/internal/postgres"
)

// The tests call every method of the store as an unrelated user, with ids of
// another family's rows. Two safeguards apply: the condition in each statement,
// and row-level security. Each must hold on its own, so everything runs three
// times: with both, and with either one.

// victim is a family whose rows the tests try to reach, and its clinic.
type victim struct {
	tenants.Family
	C tenants.Clinic
}

// whose says to whom the rows of a method belong.
type whose int

const (
	aFamily    whose = iota // a family: hidden from everyone who does not reach it
	theStaff                // the clinic's staff: hidden from caregivers and other clinics
	oneAccount              // one account: the caregiver of the family
)

// deed is one way to call a method.
type deed struct {
	of whose
	// call gets the victim's ids and those of the family that the caller
	// reaches; for an authorized caller both are the same.
	call func(ctx context.Context, tx *postgres.Tx, v victim, own tenants.Family) (any, error)
	// as returns the authorized caller's scope where it differs from the usual
	// one of whose.
	as func(v victim) newel.Scope
	// gone: the method reports a missing row as used up, to any caller.
	gone bool
	// blank: the method returns an empty result, not an error, when it finds
	// nothing.
	blank bool
	// adds says why an unrelated user may succeed: the call names none of the
	// victim's rows, or it only adds to the user's own. In that case nothing
	// else may change.
	adds string
	// mixes: no scope may make the call, because it combines rows of two
	// families.
	mixes bool
}

// deeds has an entry for every exported method of Tx.
var deeds = merge(peopleDeeds, accountDeeds, libraryDeeds, teachingDeeds, recordingDeeds, phoneDeeds, skillDeeds, helpScaleDeeds, reviewDeeds, messageDeeds, incidentDeeds)

// exempt lists the methods that are not tested, with the reason.
var exempt = map[string]string{
	"Now":       "a clock",
	"Scope":     "what the transaction was given",
	"Enter":     "sets the scope, which the tests of all other methods cover",
	"Savepoint": "runs other methods",
}

func merge(tables ...map[string][]deed) map[string][]deed {
	all := map[string][]deed{}
	for _, table := range tables {
		for name, list := range table {
			all[name] = append(all[name], list...)
		}
	}
	return all
}

func TestEveryMethodIsTested(t *testing.T) {
	t.Parallel()
	methods := map[string]bool{}
	of := reflect.TypeFor[*postgres.Tx]()
	for i := range of.NumMethod() {
		name := of.Method(i).Name
		methods[name] = true
		if exempt[name] == "" && len(deeds[name]) == 0 && !strings.HasPrefix(name, "Unscoped") {
			t.Errorf("%s is not tested as an unrelated user: add it to the table of deeds", name)
		}
	}
	for name := range deeds {
		if !methods[name] {
			t.Errorf("there is no method %s", name)
		}
	}
	for name := range exempt {
		if !methods[name] {
			t.Errorf("the exempt method %s does not exist", name)
		}
	}
	// Listen receives only ids; methods of Tx read the rows. The sign-in
	// library's table, from which UnscopedClearSignIns deletes expired rows, holds
	// no clinic's data.
	known := []string{"Close", "InScope", "InSnapshot", "Listen", "Pool", "Ready", "UnscopedClearSignIns", "WithClock", "WithKey"}
	db := reflect.TypeFor[*postgres.DB]()
	for i := range db.NumMethod() {
		if name := db.Method(i).Name; !slices.Contains(known, name) {
			t.Errorf("DB.%s is new: anything that reads or writes for an actor must be a method of Tx", name)
		}
	}
}

// clock returns the time at which the rows were created.
func clock() time.Time { return tenants.Now }

// errRollBack undoes a transaction that succeeded.
var errRollBack = errors.New("roll back")

// rightful returns the scope of an authorized caller.
func (d deed) rightful(v victim) newel.Scope {
	switch {
	case d.as != nil:
		return d.as(v)
	case d.of == aFamily:
		return v.SupervisorScope()
	case d.of == oneAccount:
		return v.Scope()
	}
	return v.C.LeadScope()
}

// TestAuthorizedCallersSucceed is the control: authorized callers succeed with either
// safeguard alone. It also runs every statement of the store at least once.
func TestAuthorizedCallersSucceed(t *testing.T) {
	t.Parallel()
	db, w := tenants.New(t)
	v := victim{w.Here.Families[0], w.Here}
	traces := slices.Concat(v.Traces(), v.StaffTraces(), w.Here.Traces())
	for _, mode := range modes(db) {
		for _, name := range slices.Sorted(maps.Keys(deeds)) {
			for i, d := range deeds[name] {
				if d.mixes {
					continue
				}
				err := mode.db.InScope(t.Context(), d.rightful(v), func(tx *postgres.Tx) error {
					got, err := d.call(t.Context(), tx, v, v.Family)
					if err != nil {
						return err
					}
					wrote, err := postgres.Wrote(t.Context(), tx)
					if err == nil && !wrote && tenants.Found(text(t, got), traces) == "" {
						err = fmt.Errorf("neither wrote anything nor returned anything of the family or clinic: %s", text(t, got))
					}
					return errors.Join(errRollBack, err)
				})
				if !errors.Is(err, errRollBack) || err.Error() != errRollBack.Error() {
					t.Errorf("%s: %s (%d): %v", mode.name, name, i+1, err)
				}
			}
		}
	}
}

func text(t *testing.T, v any) string {
	t.Helper()
	b, err := json.Marshal(v)
	if err != nil {
		t.Fatal(err)
	}
	return string(b)
}

// mode is a set of active safeguards.
type mode struct {
	name string
	db   *postgres.DB
}

func modes(db *pgtest.DB) []mode {
	return []mode{
		{"both safeguards", postgres.FromPool(db.App, clock)},
		{"policies only", postgres.Unconditional(postgres.FromPool(db.App, clock))},
		{"conditions only", postgres.FromPool(db.Bypass, clock)},
	}
}

// stranger is a user who does not reach the victim.
type stranger struct {
	name  string
	scope newel.Scope
	own   tenants.Family // the family that this user reaches
	// reads: the policies let this user read such rows even without the
	// condition; only a change would be wrong.
	reads func(whose) bool
	// but lists what this user has a right to.
	but []whose
}

func strangers(w tenants.World) []stranger {
	one, two, far := w.Here.Families[0], w.Here.Families[1], w.Elsewhere.Families[0]
	return []stranger{
		{name: "lead of another clinic", scope: w.Elsewhere.LeadScope(), own: far},
		{name: "caregiver in another clinic", scope: far.Scope(), own: far},
		{name: "caregiver of another family", scope: two.Scope(), own: two},
		{name: "supervisor of another caseload", scope: two.SupervisorScope(), own: two, but: []whose{theStaff}, reads: func(of whose) bool { return of == oneAccount }},
		{name: "caregiver of the family itself", scope: one.Scope(), own: one, but: []whose{aFamily, oneAccount}, reads: func(of whose) bool { return of == theStaff }},
		{name: "nobody", own: far},
	}
}

func TestUnrelatedUsersAreRefused(t *testing.T) {
	t.Parallel()
	for i, name := range []string{"both safeguards", "policies only", "conditions only"} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			db, w := tenants.New(t)
			tr := trial{mode: modes(db)[i], bypass: db.Bypass, world: w, victim: victim{w.Here.Families[0], w.Here}}
			tr.before = tenants.Look(t, db.Bypass)
			for _, who := range strangers(w) {
				for _, name := range slices.Sorted(maps.Keys(deeds)) {
					for i, d := range deeds[name] {
						if !slices.Contains(who.but, d.of) {
							tr.try(t, fmt.Sprintf("%s as %s (%d)", name, who.name, i+1), who, d)
						}
					}
				}
			}
		})
	}
}

// trial is one run of all unrelated users in one mode.
type trial struct {
	mode   mode
	bypass *pgxpool.Pool
	world  tenants.World
	victim victim
	before tenants.Snapshot
}

// try calls one method as an unrelated user. It commits the transaction
// whatever the method returns, as careless code would.
func (tr *trial) try(t *testing.T, what string, who stranger, d deed) {
	t.Helper()
	var got any
	var failed error
	var wrote bool
	_ = tr.mode.db.InScope(t.Context(), who.scope, func(tx *postgres.Tx) error {
		got, failed = d.call(t.Context(), tx, tr.victim, who.own)
		wrote, _ = postgres.Wrote(t.Context(), tx) // on an error the transaction is broken and rolls back
		return nil
	})
	reads := who.reads != nil && who.reads(d.of)
	switch {
	case d.adds != "" || reads && !d.mixes:
	case failed == nil && (d.blank || isList(got)):
	case errors.Is(failed, newel.ErrNotFound), d.gone && errors.Is(failed, newel.ErrGone):
	default:
		t.Errorf("%s: got %s and error %v, want not found", what, text(t, got), failed)
	}
	if trace := tenants.Found(text(t, got), tr.hidden(who)); trace != "" && !reads && d.adds == "" {
		t.Errorf("%s: shows %s: %s", what, trace, text(t, got))
	}
	// An error may name the ids that the caller passed in, and nothing else.
	if mark := tenants.Found(fmt.Sprint(failed), []string{"zz"}); mark != "" {
		t.Errorf("%s: the error reveals content: %v", what, failed)
	}
	if wrote {
		tr.unchanged(t, what, who, d)
	}
}

// isList reports whether the result is a list that holds none of the victim's
// rows (their contents are checked elsewhere).
func isList(v any) bool {
	if v == nil {
		return false
	}
	kind := reflect.TypeOf(v).Kind()
	return kind == reflect.Slice || kind == reflect.Map
}

// hidden lists what this user must never see.
func (tr *trial) hidden(who stranger) []string {
	v := tr.victim
	switch {
	case who.scope.Clinic != v.Clinic:
		return v.C.Traces()
	case who.own.ID == v.ID:
		return nil
	case who.scope.Staff:
		return v.Traces()
	}
	return slices.Concat(v.Traces(), v.StaffTraces())
}

// unchanged checks that the database is as it was. A method that adds rows may
// do so in the user's own family and clinic.
func (tr *trial) unchanged(t *testing.T, what string, who stranger, d deed) {
	t.Helper()
	after := tenants.Look(t, tr.bypass)
	lost, added := tr.before.Minus(after), after.Minus(tr.before)
	tr.before = after
	home := func(r tenants.Row) bool {
		return d.adds != "" && r.Clinic == who.scope.Clinic.String() && (r.Clinic != tr.victim.Clinic.String() || r.Family != tr.victim.ID.String())
	}
	for _, r := range lost {
		if !home(r) || r.Clinic == tr.victim.Clinic.String() {
			t.Errorf("%s: changed or deleted in %s: %s", what, r.Table, r.Text)
		}
	}
	for _, r := range added {
		if !home(r) {
			t.Errorf("%s: added to %s: %s", what, r.Table, r.Text)
		}
	}
}

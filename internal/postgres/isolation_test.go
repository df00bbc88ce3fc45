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

// Every method of the store is called here by strangers, with the ids of
// somebody else's things. There are two nets: the condition in each statement
// and row-level security. Each must hold alone, so everything is tried three
// times: with both, with either.

// victim is whose things the strangers are after: a family and its clinic.
type victim struct {
	tenants.Family
	C tenants.Clinic
}

// whose says to whom the thing belongs that a method is about.
type whose int

const (
	aFamily    whose = iota // to a family: nobody who does not reach it
	theStaff                // to the clinic's own people: no caregiver, no other clinic
	oneAccount              // to one account: the caregiver of the family
)

// deed is one way to call a method.
type deed struct {
	of whose
	// call gets the victim's ids and those of the family that the caller
	// reaches; for the rightful caller both are the same.
	call func(ctx context.Context, tx *postgres.Tx, v victim, own tenants.Family) (any, error)
	// as is the rightful caller's scope, if it is not the usual one of whose.
	as func(v victim) newel.Scope
	// gone: what is not found is called used up, whoever asks.
	gone bool
	// blank: nothing is found without an error.
	blank bool
	// adds says why a stranger may succeed: the deed names nothing of the
	// victim's, or adds to what is the stranger's own. Then nothing outside of
	// the stranger's own may change.
	adds string
	// mixes: the call is right in no scope, because it puts together what
	// belongs to two families.
	mixes bool
}

// deeds is the table: every exported method of Tx has a line.
var deeds = merge(peopleDeeds, accountDeeds, libraryDeeds, teachingDeeds, recordingDeeds, phoneDeeds, skillDeeds, helpScaleDeeds, reviewDeeds, messageDeeds, incidentDeeds)

// exempt lists the methods that are not tried, with the reason.
var exempt = map[string]string{
	"Now":       "a clock",
	"Scope":     "what the transaction was given",
	"Enter":     "makes the scope; what it opens is what all others try",
	"Savepoint": "runs others",
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

func TestEveryMethodIsTried(t *testing.T) {
	t.Parallel()
	methods := map[string]bool{}
	of := reflect.TypeFor[*postgres.Tx]()
	for i := range of.NumMethod() {
		name := of.Method(i).Name
		methods[name] = true
		if exempt[name] == "" && len(deeds[name]) == 0 && !strings.HasPrefix(name, "Unscoped") {
			t.Errorf("%s is tried as no stranger: add it to the table of deeds", name)
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
	// Listen hears ids only; what they stand for is read by methods of Tx. The
	// sign-in library's table, which UnscopedClearSignIns empties of what has
	// expired, holds no clinic's data.
	known := []string{"Close", "InScope", "InSnapshot", "Listen", "Pool", "Ready", "UnscopedClearSignIns", "WithClock", "WithKey"}
	db := reflect.TypeFor[*postgres.DB]()
	for i := range db.NumMethod() {
		if name := db.Method(i).Name; !slices.Contains(known, name) {
			t.Errorf("DB.%s is new: whatever reads or writes for somebody is a method of Tx", name)
		}
	}
}

// clock gives the moment at which the rows were made.
func clock() time.Time { return tenants.Now }

// errRollBack undoes a transaction that went well.
var errRollBack = errors.New("roll back")

// rightful gives the scope of who may.
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

// TestRightfulCallers is the control: whoever may, can, by each net alone as
// well. It also runs every statement of the store at least once.
func TestRightfulCallers(t *testing.T) {
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
						err = fmt.Errorf("neither wrote anything nor gave anything of the family or clinic: %s", text(t, got))
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

// mode is which of the two nets are there.
type mode struct {
	name string
	db   *postgres.DB
}

func modes(db *pgtest.DB) []mode {
	return []mode{
		{"both nets", postgres.FromPool(db.App, clock)},
		{"policies alone", postgres.Unconditional(postgres.FromPool(db.App, clock))},
		{"conditions alone", postgres.FromPool(db.Bypass, clock)},
	}
}

// stranger is somebody who does not reach the victim.
type stranger struct {
	name  string
	scope newel.Scope
	own   tenants.Family // what this one does reach
	// reads: may read the thing, by policy if not by condition; only a change
	// would be wrong.
	reads func(whose) bool
	// but: the things that this one has a right to.
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

func TestStrangers(t *testing.T) {
	t.Parallel()
	for i, name := range []string{"both nets", "policies alone", "conditions alone"} {
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

// trial is a run of all strangers in one mode.
type trial struct {
	mode   mode
	bypass *pgxpool.Pool
	world  tenants.World
	victim victim
	before tenants.Snapshot
}

// try calls one method as a stranger. The transaction is committed whatever
// the method says, as code would that takes its error lightly.
func (tr *trial) try(t *testing.T, what string, who stranger, d deed) {
	t.Helper()
	var got any
	var failed error
	var wrote bool
	_ = tr.mode.db.InScope(t.Context(), who.scope, func(tx *postgres.Tx) error {
		got, failed = d.call(t.Context(), tx, tr.victim, who.own)
		wrote, _ = postgres.Wrote(t.Context(), tx) // an error: the transaction is broken and rolls back
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
	// An error may name the ids that the caller brought, and nothing else.
	if mark := tenants.Found(fmt.Sprint(failed), []string{"zz"}); mark != "" {
		t.Errorf("%s: the error tells content: %v", what, failed)
	}
	if wrote {
		tr.unchanged(t, what, who, d)
	}
}

// isList reports whether what came back could have held several things and
// holds none of the victim's (which is looked for elsewhere).
func isList(v any) bool {
	if v == nil {
		return false
	}
	kind := reflect.TypeOf(v).Kind()
	return kind == reflect.Slice || kind == reflect.Map
}

// hidden lists what the stranger may never be shown.
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

// unchanged wants the database as it was. A deed that may add may do so where
// the stranger is at home.
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

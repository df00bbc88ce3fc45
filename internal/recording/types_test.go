package recording

import (
	"fmt"
	"os"
	"path/filepath"
	"reflect"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"newel/internal/criterion"
	"newel/internal/measure"
	"newel/internal/newel"
	"newel/internal/program"
)

// clientTypes is the path of the browser's contract types.
var clientTypes = filepath.Join("..", "..", "web", "src", "ts", "phone", "contract.ts")

// TestClientTypesDrift checks that the browser's types for kit, document and
// receipt match this package. -update writes them.
func TestClientTypesDrift(t *testing.T) {
	t.Parallel()
	got := tsTypes()
	if *update {
		if err := os.WriteFile(clientTypes, []byte(got), 0o644); err != nil {
			t.Fatal(err)
		}
		return
	}
	want, err := os.ReadFile(clientTypes)
	if err != nil {
		t.Fatal(err)
	}
	if diff := cmp.Diff(string(want), got); diff != "" {
		t.Errorf("contract.ts is out of date, run make generate (-file +types):\n%s", diff)
	}
}

// tsEnums lists the values of each string type.
var tsEnums = map[reflect.Type][]string{
	reflect.TypeFor[Kind]():                 texts(Teaching, Probe, Baseline, Maintenance),
	reflect.TypeFor[criterion.Kind]():       texts(criterion.Teaching, criterion.Probe, criterion.Baseline, criterion.Maintenance),
	reflect.TypeFor[How]():                  texts(Live, Afterwards),
	reflect.TypeFor[Ending]():               texts(EndedInTime, EndedDistress, EndedOther),
	reflect.TypeFor[newel.Condition]():      texts(newel.Conditions...),
	reflect.TypeFor[measure.Outcome]():      texts(measure.Outcomes...),
	reflect.TypeFor[program.Measure]():      texts(program.Measures...),
	reflect.TypeFor[program.Chain]():        texts(program.Chains...),
	reflect.TypeFor[measure.IntervalKind](): texts(measure.IntervalKinds...),
	reflect.TypeFor[CountClock]():           texts(ClockUsed, ClockNone),
	reflect.TypeFor[newel.PlaceSort]():      texts(newel.PlaceSorts...),
	reflect.TypeFor[newel.TrainingState]():  texts(append([]newel.TrainingState{newel.TrainingNone}, newel.TrainingStates...)...),
}

func texts[T ~string](values ...T) []string {
	out := make([]string, len(values))
	for i, v := range values {
		out[i] = fmt.Sprintf("%q", string(v))
	}
	return out
}

// tsNames lists the structs that get their own interface, in order.
var tsNames = []struct {
	name string
	of   reflect.Type
}{
	{"PictureRef", reflect.TypeFor[newel.PictureRef]()},
	{"Target", reflect.TypeFor[program.Target]()},
	{"Material", reflect.TypeFor[program.Material]()},
	{"Alerts", reflect.TypeFor[newel.Alerts]()},
	{"Order", reflect.TypeFor[program.Order]()},
	{"Fits", reflect.TypeFor[program.Fits]()},
	{"Expectation", reflect.TypeFor[program.Expectation]()},
	{"Saying", reflect.TypeFor[program.Saying]()},
	{"KitPerson", reflect.TypeFor[program.KitPerson]()},
	{"Kit", reflect.TypeFor[program.Kit]()},
	{"KitRef", reflect.TypeFor[Kit]()},
	{"Expected", reflect.TypeFor[Expected]()},
	{"Answer", reflect.TypeFor[Answer]()},
	{"Trial", reflect.TypeFor[Trial]()},
	{"Closing", reflect.TypeFor[Closing]()},
	{"Header", reflect.TypeFor[Header]()},
	{"RecordingDocument", reflect.TypeFor[Document]()},
	{"Receipt", reflect.TypeFor[Receipt]()},
	{"Sealed", reflect.TypeFor[Sealed]()},
	{"Checked", reflect.TypeFor[Checked]()},
	{"Receipts", reflect.TypeFor[Receipts]()},
	{"Rescue", reflect.TypeFor[Rescue]()},
	{"RescuedItem", reflect.TypeFor[RescuedItem]()},
	{"Rescued", reflect.TypeFor[Rescued]()},
	{"DayStep", reflect.TypeFor[program.DayStep]()},
	{"DayStart", reflect.TypeFor[program.DayStart]()},
	{"Said", reflect.TypeFor[newel.Said]()},
	{"Lifted", reflect.TypeFor[newel.Lifted]()},
	{"DayOffer", reflect.TypeFor[program.DayOffer]()},
	{"DayCheck", reflect.TypeFor[program.DayCheck]()},
	{"DaySession", reflect.TypeFor[program.DaySession]()},
	{"DayProgram", reflect.TypeFor[program.DayProgram]()},
	{"DayFact", reflect.TypeFor[program.DayFact]()},
	{"DayLearner", reflect.TypeFor[program.DayLearner]()},
	{"DayKit", reflect.TypeFor[program.DayKit]()},
	{"SealKey", reflect.TypeFor[newel.SealKey]()},
	{"PhoneDay", reflect.TypeFor[program.PhoneDay]()},
	{"PhoneAccount", reflect.TypeFor[newel.PhoneAccount]()},
	{"PhoneAccounts", reflect.TypeFor[newel.PhoneAccounts]()},
	{"HaveRead", reflect.TypeFor[newel.HaveRead]()},
	{"Talked", reflect.TypeFor[newel.Talked]()},
}

func tsTypes() string {
	var b strings.Builder
	b.WriteString("// Written by the tests of internal/recording from the Go types; make generate regenerates it.\n\n")
	fmt.Fprintf(&b, "export const CONTRACT = %d;\nexport const MEDIA_TYPE = %q;\nexport const RECEIPT_MEDIA_TYPE = %q;\nexport const SENT_HEADER = %q;\n", Contract, MediaType, ReceiptMediaType, SentHeader)
	fmt.Fprintf(&b, "export const SEALED_MEDIA_TYPE = %q;\nexport const RECEIPTS_MEDIA_TYPE = %q;\nexport const DAY_MEDIA_TYPE = %q;\n", SealedMediaType, ReceiptsMediaType, program.DayMediaType)
	fmt.Fprintf(&b, "export const UNSENT_HEADER = %q;\nexport const TOLD_HEADER = %q;\nexport const SEAL_INFO = %q;\nexport const MAX_CHECKED = %d;\n", newel.UnsentHeader, newel.ToldHeader, sealInfo, MaxChecked)
	fmt.Fprintf(&b, "export const MAX_TRIALS = %d;\nexport const MAX_REV = %d;\n", MaxTrials, MaxRev)
	fmt.Fprintf(&b, "export const MAX_COUNT = %d;\nexport const MAX_MEASURED = %d;\n\n", MaxCount, MaxMeasured)
	b.WriteString("/** A value that can be corrected: the highest revision counts. */\nexport interface Revised<T> {\n  rev: number;\n  value?: T;\n}\n")
	for _, n := range tsNames {
		fmt.Fprintf(&b, "\nexport interface %s {\n", n.name)
		if n.of == reflect.TypeFor[Header]() {
			headerFields(&b, n.of)
		} else {
			structFields(&b, n.of)
		}
		b.WriteString("}\n")
	}
	return b.String()
}

// headerFields writes the fields of a header; Go and JSON use the same order.
func headerFields(b *strings.Builder, of reflect.Type) {
	for i, spec := range fieldSpecs {
		value, _ := of.Field(i).Type.FieldByName("Value")
		optional := "?"
		if spec.required {
			optional = ""
		}
		fmt.Fprintf(b, "  %s%s: Revised<%s>;\n", spec.name, optional, tsType(value.Type.Elem()))
	}
}

func structFields(b *strings.Builder, of reflect.Type) {
	for i := range of.NumField() {
		f := of.Field(i)
		if f.Anonymous {
			structFields(b, f.Type)
			continue
		}
		name, options, _ := strings.Cut(f.Tag.Get("json"), ",")
		optional := ""
		if strings.Contains(options, "omit") {
			optional = "?"
		}
		typ := tsType(f.Type)
		if f.Type.Kind() == reflect.Pointer && optional == "" {
			typ += " | null"
		}
		fmt.Fprintf(b, "  %s%s: %s;\n", name, optional, typ)
	}
}

func tsType(t reflect.Type) string {
	if values, ok := tsEnums[t]; ok {
		return strings.Join(values, " | ")
	}
	for _, n := range tsNames {
		if n.of == t {
			return n.name
		}
	}
	if _, isText := reflect.New(t).Interface().(interface{ UnmarshalText([]byte) error }); isText || t == reflect.TypeFor[time.Time]() {
		return "string"
	}
	switch t.Kind() {
	case reflect.Pointer:
		return tsType(t.Elem())
	case reflect.Slice:
		if elem := tsType(t.Elem()); strings.Contains(elem, " ") {
			return "(" + elem + ")[]"
		}
		return tsType(t.Elem()) + "[]"
	case reflect.Map:
		return "Record<string, " + tsType(t.Elem()) + ">"
	case reflect.String:
		return "string"
	case reflect.Bool:
		return "boolean"
	case reflect.Int, reflect.Int64, reflect.Float64:
		return "number"
	}
	panic("no TypeScript for " + t.String())
}

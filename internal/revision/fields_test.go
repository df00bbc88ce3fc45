package revision

import (
	"testing"

	"newel/internal/criterion"
	"newel/internal/program"
)

// sample is text that a field can read.
func sample(f program.Field) string {
	switch f.Name {
	case "maintenance_weeks":
		return "1, 4"
	case "opens":
		return "A1"
	case "rules_off":
		return string(criterion.FlagKinds[0])
	}
	switch f.Kind {
	case program.Whole:
		return "7"
	case program.Seconds, program.Percent:
		return "2.5"
	case program.Tick:
		return "yes"
	case program.Worded:
		return "ms: Cuci tangan"
	case program.Choice:
		if len(f.Choices) > 0 {
			return f.Choices[len(f.Choices)-1]
		}
	case program.List:
		return "one\ntwo"
	}
	return "something new"
}

// Every field of the table is read and written, and a change of it is named by
// the comparison, with both texts. What is part of the teaching draws a phase
// line.
func TestEveryFieldIsCompared(t *testing.T) {
	t.Parallel()
	for _, of := range program.Owners {
		for _, f := range program.Fields(of) {
			key := map[program.Owner]string{program.OfRole: "run2", program.OfStep: "first"}[of]
			name := f.SheetName(key)
			before := program.Sheet{
				Strands: []program.SheetStrand{{Key: "run1", Steps: []string{"first"}}, {Key: "run2", Steps: []string{"second"}}},
				Fields:  map[string]string{"steps.first.label": "A1"},
			}
			after := program.Sheet{Strands: before.Strands, Fields: map[string]string{"steps.first.label": "A1", name: sample(f)}}
			old, now := before.Document(), after.Document()
			if got := now.Sheet().Fields[name]; got != sample(f) || len(now.Unparsed) > 0 {
				t.Errorf("%s: %q is read as %q; unparsed: %v", name, sample(f), got, now.Unparsed)
			}
			c, err := Compare(old, now)
			if err != nil {
				t.Fatal(err)
			}
			fields, procedure := c.Fields, c.Procedure
			for _, s := range c.Steps {
				fields, procedure = append(fields, s.Fields...), procedure || s.Procedure
			}
			was := old.Sheet().Fields[name]
			if len(fields) != 1 || fields[0] != (Field{name, was, sample(f)}) {
				t.Errorf("%s: the comparison says %+v", name, fields)
			}
			if procedure != f.Teaching {
				t.Errorf("%s: taught differently: %v, want %v", name, procedure, f.Teaching)
			}
		}
	}
}

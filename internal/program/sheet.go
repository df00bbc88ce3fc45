package program

import (
	"slices"
	"strconv"
	"strings"

	"golang.org/x/text/unicode/norm"

	"newel/internal/criterion"
)

// Sheet is a document as the plain-text fields of a form. Lists have one item
// per line. Field names of steps and strands contain their keys, so that they
// do not change when an item is moved.
type Sheet struct {
	Strands []SheetStrand
	Fields  map[string]string
}

// SheetStrand is one strand of a Sheet: its key, and the keys of its steps in
// order.
type SheetStrand struct {
	Key   string
	Steps []string
}

// StepField returns the name of a step's field.
func StepField(key, field string) string { return "steps." + key + "." + field }

// StrandField returns the name of a strand's field.
func StrandField(key, field string) string { return "strands." + key + "." + field }

// Sheet returns the document as fields.
func (d *Document) Sheet() Sheet {
	sheet := Sheet{Fields: map[string]string{}}
	for _, row := range programFields {
		sheet.Fields[row.Name] = row.write(d, d)
	}
	for i := range d.Strands {
		sheet.Strands = append(sheet.Strands, d.strandFields(&d.Strands[i], sheet.Fields))
	}
	for name, typed := range d.Unparsed {
		sheet.Fields[name] = typed
	}
	return sheet
}

func (d *Document) strandFields(s *Strand, f map[string]string) SheetStrand {
	out := SheetStrand{Key: s.Key}
	for _, row := range roleFields {
		f[StrandField(s.Key, row.Name)] = row.write(d, s)
	}
	for i := range s.Steps {
		step := &s.Steps[i]
		out.Steps = append(out.Steps, step.Key)
		for _, row := range stepFields {
			f[StepField(step.Key, row.Name)] = row.write(d, step)
		}
	}
	return out
}

// StepTitle returns a step's title within its program: the role, if there are
// several, and the label.
func (d *Document) StepTitle(key string) string {
	strand, step := d.Step(key)
	if step == nil {
		return ""
	}
	return strings.TrimSpace(strand.Role.Name + " " + step.Label)
}

// Document parses the fields. It never fails: input that cannot be parsed goes
// into Unparsed as typed.
func (s Sheet) Document() Document {
	r := sheetReader{fields: s.Fields}
	d := Document{Format: DocumentFormat}
	for _, strand := range s.Strands {
		d.Strands = append(d.Strands, Strand{Key: strand.Key, Steps: steps(strand.Steps)})
	}
	r.document(&d, false)
	r.document(&d, true)
	d.Unparsed = r.unparsed
	return d
}

func steps(keys []string) []Step {
	var out []Step
	for _, key := range keys {
		out = append(out, Step{Key: key})
	}
	return out
}

type sheetReader struct {
	fields   map[string]string
	unparsed map[string]string
}

// document reads the fields that name steps by title, or those that do not.
func (r *sheetReader) document(d *Document, namesSteps bool) {
	for i := range d.Strands {
		strand := &d.Strands[i]
		readRows(r, roleFields, d, strand, namesSteps, func(name string) string { return StrandField(strand.Key, name) })
		for j := range strand.Steps {
			step := &strand.Steps[j]
			readRows(r, stepFields, d, step, namesSteps, func(name string) string { return StepField(step.Key, name) })
		}
	}
	readRows(r, programFields, d, d, namesSteps, func(name string) string { return name })
}

func readRows[T any](r *sheetReader, rows []row[T], d *Document, v *T, namesSteps bool, named func(string) string) {
	for _, row := range rows {
		if row.namesSteps == namesSteps {
			row.read(r, d, v, named(row.Name))
		}
	}
}

func (r *sheetReader) keep(name string) {
	if r.unparsed == nil {
		r.unparsed = map[string]string{}
	}
	r.unparsed[name] = r.fields[name]
}

// Normalize returns a text as stored in a document: in composed form, without
// carriage returns and surrounding white space.
func Normalize(text string) string {
	return norm.NFC.String(strings.TrimSpace(strings.ReplaceAll(text, "\r\n", "\n")))
}

func (r *sheetReader) text(name string) string { return Normalize(r.fields[name]) }

func (r *sheetReader) lines(name string) []string {
	var out []string
	for line := range strings.SplitSeq(r.text(name), "\n") {
		if line = strings.TrimSpace(line); line != "" {
			out = append(out, line)
		}
	}
	return out
}

func (r *sheetReader) whole(name string) int {
	text := r.text(name)
	if text == "" {
		return 0
	}
	n, err := strconv.Atoi(text)
	if err != nil || n < 0 || n > maxPlanned {
		r.keep(name)
		return 0
	}
	return n
}

func (r *sheetReader) wholes(name string) []int {
	var out []int
	for _, part := range commaList(r.text(name)) {
		n, err := strconv.Atoi(part)
		if err != nil || n < 1 || n > 520 { // ten years of weeks
			r.keep(name)
			return nil
		}
		out = append(out, n)
	}
	return out
}

func (r *sheetReader) seconds(name string) float64 {
	text := r.text(name)
	if text == "" {
		return 0
	}
	n, err := strconv.ParseFloat(text, 64)
	if err != nil || !(n >= 0 && n <= 600) {
		r.keep(name)
		return 0
	}
	return n
}

func (r *sheetReader) percent(name string) float64 {
	text := r.text(name)
	if text == "" {
		return 0
	}
	n, err := strconv.ParseFloat(text, 64)
	if err != nil || !(n >= 0 && n <= 100) {
		r.keep(name)
		return 0
	}
	return n
}

// flags parses the kinds of flags that are turned off.
func (r *sheetReader) flags(name string) []string {
	list := commaList(r.text(name))
	for _, kind := range list {
		if !slices.Contains(criterion.FlagKinds, criterion.FlagKind(kind)) {
			r.keep(name)
			return nil
		}
	}
	return list
}

// opens parses the titles of the steps that a strand waits for.
func (r *sheetReader) opens(d *Document, name string) []Opening {
	var out []Opening
	for _, title := range commaList(r.text(name)) {
		strand, step := d.stepTitled(title)
		if strand == "" {
			r.keep(name)
			return nil
		}
		out = append(out, Opening{Strand: strand, Step: step})
	}
	return out
}

func (d *Document) stepTitled(title string) (strand, step string) {
	title = strings.Join(strings.Fields(title), " ")
	for _, s := range d.Strands {
		for _, t := range s.Steps {
			if strings.EqualFold(strings.TrimSpace(s.Role.Name+" "+t.Label), title) {
				return s.Key, t.Key
			}
		}
	}
	return "", ""
}

// touchMark follows a help level that involves touching the child.
const touchMark = "(touch)"

func (l HelpLevel) line() string {
	if l.Touch {
		return l.Name + " " + touchMark
	}
	return l.Name
}

func helpLevelOf(line string) HelpLevel {
	name, touch := strings.CutSuffix(line, touchMark)
	return HelpLevel{Name: strings.TrimSpace(name), Touch: touch}
}

func (d *Document) difficultyLine(x Difficulty) string {
	line := x.Text
	if x.Answer != "" {
		line += ": " + x.Answer
	}
	return bracketed(line, joined(x.Steps, d.StepTitle))
}

// difficultyOf parses "what happens: what to do (steps)". Brackets that do not
// name steps are part of the text.
func (d *Document) difficultyOf(line string) Difficulty {
	text, inside := unbracketed(line)
	var steps []string
	for _, title := range commaList(inside) {
		_, step := d.stepTitled(title)
		if step == "" {
			text, steps = line, nil
			break
		}
		steps = append(steps, step)
	}
	what, answer, _ := strings.Cut(text, ": ")
	return Difficulty{Text: strings.TrimSpace(what), Answer: strings.TrimSpace(answer), Steps: steps}
}

// bracketed appends an aside in brackets to the text; unbracketed removes it
// again.
func bracketed(text, aside string) string {
	if aside == "" {
		return text
	}
	return text + " (" + aside + ")"
}

func unbracketed(line string) (text, aside string) {
	at := strings.LastIndex(line, " (")
	if at < 1 || !strings.HasSuffix(line, ")") {
		return line, ""
	}
	return strings.TrimSpace(line[:at]), line[at+2 : len(line)-1]
}

func lines[T any](list []T, write func(T) string) string {
	out := make([]string, len(list))
	for i, v := range list {
		out[i] = write(v)
	}
	return strings.Join(out, "\n")
}

func joined[T any](list []T, write func(T) string) string {
	return strings.ReplaceAll(lines(list, write), "\n", ", ")
}

func commaList(text string) []string {
	var out []string
	for part := range strings.SplitSeq(text, ",") {
		if part = strings.TrimSpace(part); part != "" {
			out = append(out, part)
		}
	}
	return out
}

func whole(n int) string {
	if n == 0 {
		return ""
	}
	return strconv.Itoa(n)
}

func decimal(n float64) string {
	if n == 0 {
		return ""
	}
	return strconv.FormatFloat(n, 'f', -1, 64)
}

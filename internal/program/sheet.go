package program

import (
	"strconv"
	"strings"

	"golang.org/x/text/unicode/norm"

	"newel/internal/newel"
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

// CardHeld is the value of a step's field "card" if the recorder shows the
// target only while the screen is pressed; empty means always.
const CardHeld = "held"

func cardShown(held bool) string {
	if held {
		return CardHeld
	}
	return ""
}

func (r *sheetReader) cardHeld(name string) bool {
	switch r.text(name) {
	case "":
	case CardHeld:
		return true
	default:
		r.keep(name)
	}
	return false
}

// StepField returns the name of a step's field.
func StepField(key, field string) string { return "steps." + key + "." + field }

// StrandField returns the name of a strand's field.
func StrandField(key, field string) string { return "strands." + key + "." + field }

// texts returns the fields that are plain text in the document.
func (d *Document) texts() map[string]*string {
	return map[string]*string{
		"title": &d.Title, "skill_area": &d.SkillArea, "purpose": &d.Purpose, "for_whom": &d.ForWhom,
		"setting": &d.Setting, "language": &d.Language, "cautions": &d.Cautions, "stop_rule": &d.StopRule,
		"generalize": &d.Generalize, "reinforcing": &d.Reinforcing, "say": &d.Procedure.Say,
		"help_rule": &d.Procedure.HelpRule, "if_right": &d.Procedure.IfRight,
		"if_not_yet": &d.Procedure.IfNotYet, "if_says_no": &d.Procedure.IfSaysNo,
		"thinning": &d.Thinning, "maintenance": &d.Maintenance,
		"less_help": &d.Procedure.LessHelp, "more_help": &d.Procedure.MoreHelp,
	}
}

func (d *Document) numbers() map[string]*int {
	return map[string]*int{"sessions_a_week": &d.SessionsAWeek, "weeks": &d.Weeks}
}

func (s *Step) texts() map[string]*string {
	return map[string]*string{
		"label": &s.Label, "name": &s.Name, "say": &s.Say, "done_when": &s.DoneWhen, "context": &s.Context,
		"planned_help": &s.PlannedHelp, "criterion": &s.Criterion, "step_back": &s.StepBack,
		"notice": &s.Notice, "phase": &s.Phase, "moment": &s.Moment,
		"fits_people": &s.Fits.People, "fits_place": &s.Fits.Place, "fits_materials": &s.Fits.Materials,
	}
}

func (s *Step) numbers() map[string]*int {
	return map[string]*int{"trials": &s.Trials, "minutes": &s.Minutes, "choices": &s.Choices, "at_once": &s.AtOnce, "tokens": &s.Tokens}
}

// Sheet returns the document as fields.
func (d *Document) Sheet() Sheet {
	f := map[string]string{}
	for name, text := range d.texts() {
		f[name] = *text
	}
	for name, n := range d.numbers() {
		f[name] = whole(*n)
	}
	f["wait_seconds"] = decimal(d.Procedure.WaitSeconds)
	f["help_procedure"] = string(d.Procedure.HelpProcedure)
	f["say_in"] = strings.Join(d.Procedure.SayIn.pieces(), "\n")
	f["prerequisites"] = lines(d.Prerequisites, func(p Prerequisite) string { return p.Text })
	f["needs"] = strings.Join(d.Needs, "\n")
	f["teaches"] = lines(d.Teaches, d.teachesLine)
	f["materials"] = lines(d.Materials, func(m Material) string { return bracketed(m.Text, m.Caution) })
	f["help_levels"] = lines(d.HelpLevels, HelpLevel.line)
	f["checklist"] = strings.Join(d.Checklist, "\n")
	f["difficulties"] = lines(d.Difficulties, d.difficultyLine)
	f["maintenance_weeks"] = joined(d.MaintenanceWeeks, strconv.Itoa)
	sheet := Sheet{Fields: f}
	for i := range d.Strands {
		sheet.Strands = append(sheet.Strands, d.strandFields(&d.Strands[i], f))
	}
	for name, typed := range d.Unread {
		f[name] = typed
	}
	return sheet
}

func (d *Document) strandFields(s *Strand, f map[string]string) SheetStrand {
	out := SheetStrand{Key: s.Key}
	f[StrandField(s.Key, "role")], f[StrandField(s.Key, "actions")] = s.Role.Name, s.Role.Actions
	f[StrandField(s.Key, "opens")] = joined(s.Opens, func(o Opening) string { return d.StepTitle(o.Step) })
	for i := range s.Steps {
		step := &s.Steps[i]
		out.Steps = append(out.Steps, step.Key)
		for name, text := range step.texts() {
			f[StepField(step.Key, name)] = *text
		}
		for name, n := range step.numbers() {
			f[StepField(step.Key, name)] = whole(*n)
		}
		f[StepField(step.Key, "measure")] = string(step.Measure)
		f[StepField(step.Key, "card")] = cardShown(step.Held)
		f[StepField(step.Key, "start_from")] = string(step.StartFrom)
		f[StepField(step.Key, "targets")] = lines(step.Targets, Target.line)
		step.laterFields(f)
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
// into Unread as typed.
func (s Sheet) Document() Document {
	r := sheetReader{fields: s.Fields}
	d := Document{Format: DocumentFormat}
	for name, text := range d.texts() {
		*text = r.text(name)
	}
	for name, n := range d.numbers() {
		*n = r.whole(name)
	}
	d.Procedure.WaitSeconds = r.seconds("wait_seconds")
	d.Procedure.HelpProcedure = HelpProcedure(r.text("help_procedure"))
	d.Procedure.SayIn = r.wordings("say_in")
	for _, line := range r.lines("prerequisites") {
		d.Prerequisites = append(d.Prerequisites, Prerequisite{Key: NewKey(), Text: line})
	}
	for _, line := range r.lines("materials") {
		text, caution := unbracketed(line)
		d.Materials = append(d.Materials, Material{Text: text, Caution: caution})
	}
	for _, line := range r.lines("help_levels") {
		d.HelpLevels = append(d.HelpLevels, helpLevelOf(line))
	}
	d.Checklist = r.lines("checklist")
	for _, strand := range s.Strands {
		d.Strands = append(d.Strands, r.strand(strand))
	}
	for i := range d.Strands {
		d.Strands[i].Opens = r.opens(&d, StrandField(d.Strands[i].Key, "opens"))
	}
	for _, line := range r.lines("difficulties") {
		d.Difficulties = append(d.Difficulties, d.difficultyOf(line))
	}
	d.Needs = r.lines("needs")
	for _, line := range r.lines("teaches") {
		d.Teaches = append(d.Teaches, d.taughtOf(line))
	}
	d.MaintenanceWeeks = r.wholes("maintenance_weeks")
	d.Unread = r.unread
	return d
}

type sheetReader struct {
	fields map[string]string
	unread map[string]string
}

func (r *sheetReader) keep(name string) {
	if r.unread == nil {
		r.unread = map[string]string{}
	}
	r.unread[name] = r.fields[name]
}

// AsKept returns a text as stored in a document: in composed form, without
// carriage returns and surrounding white space.
func AsKept(text string) string {
	return norm.NFC.String(strings.TrimSpace(strings.ReplaceAll(text, "\r\n", "\n")))
}

func (r *sheetReader) text(name string) string { return AsKept(r.fields[name]) }

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

func (r *sheetReader) strand(s SheetStrand) Strand {
	out := Strand{Key: s.Key, Role: ActivityRole{Name: r.text(StrandField(s.Key, "role")), Actions: r.text(StrandField(s.Key, "actions"))}}
	for _, key := range s.Steps {
		step := Step{Key: key}
		for name, text := range step.texts() {
			*text = r.text(StepField(key, name))
		}
		for name, n := range step.numbers() {
			*n = r.whole(StepField(key, name))
		}
		step.Measure = Measure(r.text(StepField(key, "measure")))
		step.Held = r.cardHeld(StepField(key, "card"))
		step.StartFrom = newel.TrainingState(r.text(StepField(key, "start_from")))
		for _, line := range r.lines(StepField(key, "targets")) {
			step.Targets = append(step.Targets, targetOf(line))
		}
		r.laterStep(&step)
		out.Steps = append(out.Steps, step)
	}
	return out
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

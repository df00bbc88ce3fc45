package httpd

import (
	"net/url"
	"strings"

	"newel/internal/app"
	"newel/internal/href"
	"newel/internal/program"
	"newel/internal/view"
	"newel/internal/writing"
)

// draftEdit returns the edit of an editor button, or nil. A button names its
// action and object, separated by colons.
func draftEdit(do, pane string, values url.Values) *app.DraftEdit {
	verb, rest, _ := strings.Cut(do, ":")
	key, more, _ := strings.Cut(rest, ":")
	step := func(key string) string { return view.PaneQuery(view.StepPane, key) + "#pane" }
	written := func(d *program.Document, key string) string { return fieldQuery(firstField(d, key)) }
	role := func(key string) string { return view.PaneQuery(view.RolePane, key) + "#pane" }
	stay := func(goOn string) *app.DraftEdit {
		return &app.DraftEdit{Do: func(*program.Document) (string, string) { return goOn, "" }}
	}
	edit := func(deed func(*program.Document) (goOn, what string)) *app.DraftEdit {
		return &app.DraftEdit{Do: func(d *program.Document) (string, string) {
			goOn, what := deed(d)
			return goOn, verb + ":" + what
		}}
	}
	switch verb {
	case "undo", "redo":
		return &app.DraftEdit{Undo: verb == "undo", Redo: verb == "redo", Next: pane + "#pane"}
	case "go":
		if more == view.ToWrite {
			return &app.DraftEdit{Do: func(d *program.Document) (string, string) { return written(d, key), "" }}
		}
		return stay(step(key))
	case "go-role":
		if more == view.ToWrite {
			return stay(fieldQuery(program.StrandField(key, "role")))
		}
		return stay(role(key))
	case "go-program":
		if key == view.ToWrite {
			return stay(fieldQuery("title"))
		}
		return stay("#pane")
	case "go-publish":
		return stay(view.PaneQuery(view.PublishPane, "") + "#pane")
	case "pictures":
		return stay(href.StepPictures(key))
	case "ladder":
		return stay(href.LadderAfter(key, more))
	case "add":
		return edit(func(d *program.Document) (string, string) { return written(d, d.AddStepAfter(key, more)), "" })
	case "next":
		return &app.DraftEdit{Do: func(d *program.Document) (string, string) { return nextStep(d, key, more) }}
	case "copy":
		return edit(func(d *program.Document) (string, string) {
			label := labelOf(d, key)
			return fieldQuery(program.StepField(d.CopyStep(key), "label")), label
		})
	case "split":
		return edit(func(d *program.Document) (string, string) {
			label := labelOf(d, key)
			parts := d.SplitStep(key, 2)
			if len(parts) == 0 {
				return pane, label
			}
			return fieldQuery(program.StepField(parts[0], "name")), label
		})
	case "remove":
		return edit(func(d *program.Document) (string, string) {
			label, next := labelOf(d, key), neighbourOf(d, key)
			d.RemoveStep(key)
			if next == "" {
				return "#pane", label
			}
			return step(next), label
		})
	case "up", "down":
		by := map[string]int{"up": -1, "down": 1}[verb]
		return edit(func(d *program.Document) (string, string) {
			d.MoveStep(key, by)
			if more == view.ToList {
				return view.PaneQuery(view.StepPane, key), labelOf(d, key)
			}
			return step(key), labelOf(d, key)
		})
	case "place":
		strand, after, _ := strings.Cut(more, ":")
		return edit(func(d *program.Document) (string, string) {
			d.PlaceStep(key, strand, after)
			return step(key), labelOf(d, key)
		})
	case "add-role":
		return edit(func(d *program.Document) (string, string) {
			strand := d.AddStrand()
			d.AddStep(strand)
			return fieldQuery(program.StrandField(strand, "role")), ""
		})
	case "copy-role":
		return edit(func(d *program.Document) (string, string) {
			from := d.Strand(key)
			if from == nil {
				return pane, ""
			}
			d.Strands = append(d.Strands, writing.OtherRole(from, program.ActivityRole{Name: program.Normalize(values.Get("copy_as"))}, nil))
			added := &d.Strands[len(d.Strands)-1]
			if added.Role.Name == "" {
				return fieldQuery(program.StrandField(added.Key, "role")), ""
			}
			return fieldQuery(program.StrandField(added.Key, "actions")), ""
		})
	case "join-roles":
		return edit(func(d *program.Document) (string, string) {
			return fieldQuery(program.StrandField(joinRoles(d), "role")), ""
		})
	case "fix":
		return &app.DraftEdit{With: func(d *program.Document, around writing.Context) (string, string) {
			if f := writing.FindFix(writing.Review(d, around), key, more); f != nil {
				*d = f.Apply(d)
			}
			if pane == view.PaneQuery(view.PublishPane, "") {
				return pane + "#pane", "fix:"
			}
			return fieldQuery(more), "fix:"
		}}
	case "add-need":
		return edit(func(d *program.Document) (string, string) {
			putSkill(d, "needs", values.Get("need_pick"), "")
			return fieldQuery("need_pick"), ""
		})
	case "add-teach":
		return edit(func(d *program.Document) (string, string) {
			putSkill(d, "teaches", values.Get("teach_pick"), values.Get("teach_step"))
			return fieldQuery("teach_pick"), ""
		})
	case "role-up", "role-down":
		by := map[string]int{"role-up": -1, "role-down": 1}[verb]
		return edit(func(d *program.Document) (string, string) { d.MoveStrand(key, by); return role(key), "" })
	case "remove-role":
		return edit(func(d *program.Document) (string, string) { d.RemoveStrand(key); return "#pane", "" })
	}
	return nil
}

// fieldQuery returns the editor's query for a field.
func fieldQuery(name string) string {
	pane := ""
	switch kind, key := partOf(name); kind {
	case "steps":
		pane = view.PaneQuery(view.StepPane, key)
	case "strands":
		pane = view.PaneQuery(view.RolePane, key)
	}
	return pane + "#f-" + name
}

// partOf returns the kind of a field's owner, steps or strands, and its key;
// both are empty for the program's fields.
func partOf(name string) (kind, key string) {
	if parts := strings.SplitN(name, ".", 3); len(parts) == 3 {
		return parts[0], parts[1]
	}
	return "", ""
}

// firstField returns the field to start writing a step in.
func firstField(d *program.Document, key string) string {
	if _, step := d.Step(key); step != nil && step.Label != "" {
		return program.StepField(key, "name")
	}
	return program.StepField(key, "label")
}

// nextStep moves to the same field of the next step. After the last step it
// adds a new one, unless the last one is still empty.
func nextStep(d *program.Document, key, field string) (goOn, deed string) {
	strand, step := d.Step(key)
	if step == nil {
		return "#pane", ""
	}
	if below := d.Following(key); below != nil {
		if field == "" || strings.Trim(field, "abcdefghijklmnopqrstuvwxyz_") != "" {
			return fieldQuery(firstField(d, below.Key)), ""
		}
		return fieldQuery(program.StepField(below.Key, field)), ""
	}
	if step.Name == "" && step.DoneWhen == "" {
		return fieldQuery(firstField(d, key)), ""
	}
	return fieldQuery(firstField(d, d.AddStepAfter(strand.Key, key))), "add:"
}

// joinRoles adds the part in which all roles come together, after the last step
// of each has been mastered.
func joinRoles(d *program.Document) string {
	step := program.Step{Key: program.NewKey(), Measure: program.MeasureTrials}
	var after []string
	for _, s := range d.Strands {
		if n := len(s.Steps); n > 0 {
			last := s.Steps[n-1]
			after = append(after, last.Key)
			step.Measure, step.Trials, step.Minutes, step.Criterion = last.Measure, last.Trials, last.Minutes, last.Criterion
			step.Label = program.NextLabel(last.Label)
		}
	}
	return writing.JoinStep(d, "", step, after...)
}

func labelOf(d *program.Document, key string) string {
	_, step := d.Step(key)
	switch {
	case step == nil:
		return ""
	case step.Label != "":
		return step.Label
	}
	return step.Name
}

// neighbourOf returns the step to show when this one is deleted.
func neighbourOf(d *program.Document, key string) string {
	if next := d.Following(key); next != nil {
		return next.Key
	}
	if before := d.Preceding(key); before != nil {
		return before.Key
	}
	return ""
}

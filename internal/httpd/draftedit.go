package httpd

import (
	"net/url"
	"strconv"
	"strings"

	"newel/internal/app"
	"newel/internal/newel"
	"newel/internal/view"
	"newel/internal/writing"
)

// draftEdit is what a button of the editor does on the way, or nil. A button
// names what it does and to what, with colons between.
func draftEdit(do, pane string, values url.Values) *app.DraftEdit {
	verb, rest, _ := strings.Cut(do, ":")
	key, more, _ := strings.Cut(rest, ":")
	step := func(key string) string { return view.PaneQuery(view.StepPane, key) + "#pane" }
	role := func(key string) string { return view.PaneQuery(view.RolePane, key) + "#pane" }
	stay := func(goOn string) *app.DraftEdit {
		return &app.DraftEdit{Do: func(*newel.Document) (string, string) { return goOn, "" }}
	}
	edit := func(deed func(*newel.Document) (goOn, what string)) *app.DraftEdit {
		return &app.DraftEdit{Do: func(d *newel.Document) (string, string) {
			goOn, what := deed(d)
			return goOn, verb + ":" + what
		}}
	}
	switch verb {
	case "undo", "redo":
		return &app.DraftEdit{Undo: verb == "undo", Redo: verb == "redo", GoOn: pane + "#pane"}
	case "go":
		return stay(step(key))
	case "go-role":
		return stay(role(key))
	case "go-program":
		return stay("#pane")
	case "go-publish":
		return stay(view.PaneQuery(view.PublishPane, "") + "#pane")
	case "ladder":
		return stay("/ladder?strand=" + key + "&after=" + more)
	case "add":
		return edit(func(d *newel.Document) (string, string) { return step(d.AddStepAfter(key, more)), "" })
	case "copy":
		return edit(func(d *newel.Document) (string, string) { return step(d.CopyStep(key)), labelOf(d, key) })
	case "split":
		return edit(func(d *newel.Document) (string, string) {
			label := labelOf(d, key)
			parts := d.SplitStep(key, 2)
			if len(parts) == 0 {
				return pane, label
			}
			return step(parts[0]), label
		})
	case "remove":
		return edit(func(d *newel.Document) (string, string) {
			label, next := labelOf(d, key), neighbourOf(d, key)
			d.RemoveStep(key)
			if next == "" {
				return "#pane", label
			}
			return step(next), label
		})
	case "up":
		return edit(func(d *newel.Document) (string, string) { d.MoveStep(key, -1); return step(key), labelOf(d, key) })
	case "down":
		return edit(func(d *newel.Document) (string, string) { d.MoveStep(key, 1); return step(key), labelOf(d, key) })
	case "place":
		strand, after, _ := strings.Cut(more, ":")
		return edit(func(d *newel.Document) (string, string) {
			d.PlaceStep(key, strand, after)
			return step(key), labelOf(d, key)
		})
	case "add-role":
		return edit(func(d *newel.Document) (string, string) {
			strand := d.AddStrand()
			d.AddStep(strand)
			return role(strand), ""
		})
	case "copy-role":
		return edit(func(d *newel.Document) (string, string) {
			from := d.Strand(key)
			if from == nil {
				return pane, ""
			}
			d.Strands = append(d.Strands, writing.OtherRole(from, newel.ActivityRole{Name: newel.AsKept(values.Get("copy_as"))}, nil))
			return role(d.Strands[len(d.Strands)-1].Key), ""
		})
	case "join-roles":
		return edit(func(d *newel.Document) (string, string) { return role(joinRoles(d)), "" })
	case "fix":
		return edit(func(d *newel.Document) (string, string) {
			for _, a := range writing.Review(d, writing.Around{}) {
				if a.Fix != nil && a.Fix.ID == key && a.Fix.Field == more {
					*d = a.Fix.Apply(d)
					break
				}
			}
			return pane + "#pane", ""
		})
	case "role-up", "role-down":
		by := map[string]int{"role-up": -1, "role-down": 1}[verb]
		return edit(func(d *newel.Document) (string, string) { d.MoveStrand(key, by); return role(key), "" })
	case "remove-role":
		return edit(func(d *newel.Document) (string, string) { d.RemoveStrand(key); return "#pane", "" })
	}
	return nil
}

// joinRoles adds the part in which all roles come together, once the last step
// of each has been climbed.
func joinRoles(d *newel.Document) string {
	step := newel.Step{Key: newel.NewKey(), Measure: newel.MeasureTrials}
	var after []string
	for _, s := range d.Strands {
		if n := len(s.Steps); n > 0 {
			last := s.Steps[n-1]
			after = append(after, last.Key)
			step.Measure, step.Trials, step.Minutes, step.Criterion = last.Measure, last.Trials, last.Minutes, last.Criterion
		}
	}
	return writing.JoinStep(d, "", step, after...)
}

func labelOf(d *newel.Document, key string) string {
	_, step := d.Step(key)
	switch {
	case step == nil:
		return ""
	case step.Label != "":
		return step.Label
	}
	return step.Name
}

// neighbourOf is the step to go on with when this one has gone.
func neighbourOf(d *newel.Document, key string) string {
	if next := d.Following(key); next != nil {
		return next.Key
	}
	if before := d.Preceding(key); before != nil {
		return before.Key
	}
	return ""
}

// percentText writes percent for a table.
func percentText(n int) string { return strconv.Itoa(n) + " %" }

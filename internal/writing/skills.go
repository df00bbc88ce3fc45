package writing

import (
	"slices"
	"strings"

	"newel/internal/program"
	"newel/internal/skill"
)

// skills checks what the program needs and teaches against the other programs.
// A program that waits for itself, directly or indirectly, could never be
// started.
func (r *reviewer) skills(around Context) {
	if around.Shelf == nil {
		return
	}
	r.unlisted(around.Shelf, "needs", r.d.Needs)
	r.unlisted(around.Shelf, "teaches", r.d.Taught())
	around.Shelf.Put(r.d.SkillsOf(around.Program))
	r.circle(around)
	var untaught []string
	for _, name := range r.d.Needs {
		if len(around.Shelf.Teachers(around.Shelf.Key(name))) == 0 {
			untaught = append(untaught, name)
		}
	}
	if len(untaught) > 0 {
		r.look(r.likeTaught(around.Shelf, untaught), "needs", "check.skill_untaught", "n", len(untaught), "skills", named(untaught))
	}
}

// unlisted reports the skills that publishing will add to the clinic's list.
func (r *reviewer) unlisted(shelf *skill.Shelf, field string, names []string) {
	fresh := slices.DeleteFunc(slices.Clone(names), shelf.Listed)
	if len(fresh) > 0 {
		r.look(nil, field, "check.skill_new", "n", len(fresh), "skills", named(fresh))
	}
}

func named(list []string) string {
	quoted := make([]string, len(list))
	for i, name := range list {
		quoted[i] = "“" + name + "”"
	}
	return strings.Join(quoted, ", ")
}

// circle reports a cycle of prerequisites through the program, which blocks
// publishing, and offers to remove the skill that closes the cycle.
func (r *reviewer) circle(around Context) {
	way := around.Shelf.Circle(around.Program)
	if way == nil {
		return
	}
	titles := make([]string, 0, len(way)+1)
	for _, p := range append(way, way[0]) {
		titles = append(titles, p.Title)
	}
	next := way[min(1, len(way)-1)]
	left := slices.DeleteFunc(slices.Clone(r.d.Needs), func(name string) bool {
		return slices.ContainsFunc(next.Teaches, func(t skill.Taught) bool { return t.Key == around.Shelf.Key(name) })
	})
	fix := &Fix{ID: "drop_need", Field: "needs", Value: strings.Join(left, "\n")}
	r.add(program.BlocksPublishing, fix, "needs", "check.skill_circle", "programs", len(way), "path", strings.Join(titles, " → "))
}

// likeTaught offers the names of taught skills in place of nearly identical
// ones.
func (r *reviewer) likeTaught(shelf *skill.Shelf, untaught []string) *Fix {
	names, found := slices.Clone(r.d.Needs), false
	for i, name := range names {
		if like, ok := shelf.Like(name); ok && slices.Contains(untaught, name) {
			names[i], found = like, true
		}
	}
	if !found {
		return nil
	}
	return &Fix{ID: "skill_like", Field: "needs", Value: strings.Join(names, "\n")}
}

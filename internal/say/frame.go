package say

import (
	"newel/internal/href"
	"newel/internal/message"
	"newel/internal/newel"
	"newel/internal/view"
)

// sections lists the parts of the staff's site, each with who can use it.
var sections = []struct {
	name, path string
	needs      newel.Permission
}{
	{"caseload", href.Caseload, newel.SeeCaseload},
	{"families", href.Families, newel.SeeFamilies},
	{"library", href.Programs, newel.SeeLibrary},
	{"clinic", href.People, newel.ManageAccounts},
}

// Navigation lists the sections that the actor can use.
func Navigation(t *message.Printer, actor newel.Actor) []view.NavItem {
	var items []view.NavItem
	for _, section := range sections {
		if actor.Can(section.needs) {
			items = append(items, view.NavItem{Key: section.name, Label: t.Text("nav." + section.name), Href: section.path})
		}
	}
	return items
}

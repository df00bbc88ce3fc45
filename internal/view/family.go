package view

import (
	"newel/internal/href"
	"newel/internal/newel"
)

import "newel/internal/message"

// FamiliesPage lists the families that the reader may see.
type FamiliesPage struct {
	T        *message.Printer
	Families []FamilyLine
	MayAdd   bool
}

// FamilyLine is one family in the list.
type FamilyLine struct {
	Name, Href string
	Learners   []Link
	TimeZone   string
}

func (p FamiliesPage) addLink() *Link {
	if !p.MayAdd {
		return nil
	}
	return &Link{p.T.Text("families.add"), href.NewFamily}
}

func (p FamiliesPage) emptyText() string {
	if p.MayAdd {
		return p.T.Text("families.none_add")
	}
	return p.T.Text("families.none_ask")
}

// FamilyFormPage is the form for a new family or for changes to one.
type FamilyFormPage struct {
	Form      FormState
	Title     string
	Lead      string
	Back      Link
	Button    string
	Languages []Option
}

func (p FamilyFormPage) fields() []Field {
	return []Field{
		p.Form.Needed("name", "families.name"),
		with(p.Form.Needed("time_zone", "families.time_zone"), "spellcheck", "false", "autocapitalize", "none"),
	}
}

func (p FamilyFormPage) language() Field {
	f := p.Form.Needed("language", "families.language")
	f.Options = p.Languages
	return f
}

// FamilyPage is one family: learners, people with their ways to sign in, and
// its staff.
type FamilyPage struct {
	Form FormState // for the actions, and the form that adds a person

	ID           newel.FamilyID
	Name         string
	Facts        string // time zone and language
	Learners     []LearnerLine
	People       []PersonLine
	LookingAfter []CarerLine
	Candidates   []Option // staff who could take on the family

	Training *TrainingPart // nil to hide it from this reader
	Messages *Link         // nil: likewise

	MayManage, MayInvite bool
}

// LearnerLine is one learner of a family.
type LearnerLine struct {
	Name     string
	Href     string // empty if it may not be opened
	Born     string
	Edit     string // empty: may not
	Consents string // empty: may not
}

// PersonLine is a family member and how they sign in.
type PersonLine struct {
	ID      newel.PersonID
	Name    string
	Way     string // how they sign in, in words
	Revoke  string // path that revokes the open invitation; empty if none is open
	Devices []DeviceLine
}

// DeviceLine is a linked browser.
type DeviceLine struct{ Label, Seen, Revoke string }

// CarerLine is a member of staff who looks after the family.
type CarerLine struct{ Name, Capacities, Account string }

// PersonFormPage is the form that renames a person.
type PersonFormPage struct {
	Form FormState
	Back Link
}

func personField(f FormState) Field { return f.Needed("name", "families.person_name") }

func (p FamilyPage) candidates() Field {
	f := p.Form.Needed("account", "families.take_on")
	f.Options = p.Candidates
	return f
}

// LearnerFormPage is the form for a learner's name and birth month.
type LearnerFormPage struct {
	Form  FormState
	Title string
	Back  Link
}

func (p LearnerFormPage) fields() (nickname, born Field) {
	return p.Form.Needed("nickname", "learner.nickname"), p.Form.Field("birth_month", "learner.born")
}

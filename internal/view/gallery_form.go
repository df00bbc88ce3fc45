package view

import "github.com/a-h/templ"

// galleryFields are the fields of the form in the gallery, as first shown or as they come back.
type galleryFields struct {
	Name, Family, Born, Month, Note, Tongue, Password, Food, Consent Field
}

func (f galleryFields) problems() []Problem {
	return Problems(f.Name, f.Family, f.Born, f.Month, f.Note, f.Tongue, f.Password, f.Food, f.Consent)
}

func newGalleryFields(wrong bool) galleryFields {
	f := galleryFields{
		Name: Field{Name: "name", Label: "Name the child is called by", Required: true, Attrs: templ.Attributes{"autocomplete": "off"}},
		Family: Field{Name: "family", Label: "Family", Required: true, Value: "h", Options: []Option{
			{"", "Choose a family", ""}, {"h", "Haddarin", ""}, {"l", "Lindqvale", ""},
		}},
		Born:  Field{Name: "born", Label: "Date of birth", Hint: "Only age in months is shown on pages that are shared.", Required: true},
		Month: Field{Name: "month", Label: "Month of the first visit", Hint: "Year and month, as 2026-03."},
		Note:  Field{Name: "note", Label: "What a newcomer should know first"},
		Tongue: Field{Name: "tongue", Label: "Language on the phone", Required: true, Value: "ar", Options: []Option{
			{"ar", "Arabic", "Pages run right to left."}, {"en", "English", ""}, {"ms", "Malay", ""},
		}},
		Password: Field{Name: "password", Label: "Your password", Hint: "Asked again because consent is changed here.", Required: true, Attrs: templ.Attributes{"autocomplete": "current-password"}},
		Food:     Field{Name: "food", Label: "Food may be used as a reward", Hint: "Only foods that a caregiver has agreed to."},
		Consent:  Field{Name: "consent", Label: "A parent has signed the consent of 3 March", Required: true, Checked: !wrong},
	}
	if wrong {
		f.Name.Error = "Write the name the child is called by."
		f.Born.Value, f.Born.Error = "2031-02-30", "There is no such day, or it lies ahead. Write the date of birth again."
		f.Tongue.Value, f.Tongue.Error = "", "Choose the language the family reads."
		f.Consent.Error = "Without consent nothing can be assigned. Ask for it, then tick this."
	}
	return f
}

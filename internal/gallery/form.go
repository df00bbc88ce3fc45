package gallery

import (
	"github.com/a-h/templ"

	"newel/internal/view"
)

// formFields are the fields of the gallery's form, as first shown or after
// validation.
type formFields struct {
	Name, Family, Born, Month, Note, Tongue, Password, Food, Consent view.Field
}

func (f formFields) problems() []view.Problem {
	return view.Problems(f.Name, f.Family, f.Born, f.Month, f.Note, f.Tongue, f.Password, f.Food, f.Consent)
}

func newFormFields(wrong bool) formFields {
	f := formFields{
		Name: view.Field{T: english(), Name: "name", Label: "Name the child is called by", Required: true, Attrs: templ.Attributes{"autocomplete": "off"}},
		Family: view.Field{T: english(), Name: "family", Label: "Family", Required: true, Value: "h", Options: []view.Option{
			{Value: "", Label: "Choose a family"}, {Value: "h", Label: "Haddarin"}, {Value: "l", Label: "Lindqvale"},
		}},
		Born:  view.Field{T: english(), Name: "born", Label: "Date of birth", Hint: "Only age in months is shown on pages that are shared.", Required: true},
		Month: view.Field{T: english(), Name: "month", Label: "Month of the first visit", Hint: "Year and month, as 2026-03."},
		Note:  view.Field{T: english(), Name: "note", Label: "What a newcomer should know first"},
		Tongue: view.Field{T: english(), Name: "tongue", Label: "Language on the phone", Required: true, Value: "ar", Options: []view.Option{
			{Value: "ar", Label: "Arabic", Hint: "Pages run right to left."}, {Value: "en", Label: "English"}, {Value: "ms", Label: "Malay"},
		}},
		Password: view.Field{T: english(), Name: "password", Label: "Your password", Hint: "Asked again because consent is changed here.", Required: true, Attrs: templ.Attributes{"autocomplete": "current-password"}},
		Food:     view.Field{T: english(), Name: "food", Label: "Food may be used as a reward", Hint: "Only foods that a caregiver has agreed to."},
		Consent:  view.Field{T: english(), Name: "consent", Label: "A parent has signed the consent of 3 March", Required: true, Checked: !wrong},
	}
	if wrong {
		f.Name.Error = "Write the name the child is called by."
		f.Born.Value, f.Born.Error = "2031-02-30", "There is no such day, or it lies ahead. Write the date of birth again."
		f.Tongue.Value, f.Tongue.Error = "", "Choose the language the family reads."
		f.Consent.Error = "Without consent nothing can be assigned. Ask for it, then tick this."
	}
	return f
}

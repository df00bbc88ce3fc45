package say

import (
	"net/url"

	"newel/internal/app"
	"newel/internal/message"
	"newel/internal/view"
)

// Form returns a form in the reader's language with a new token.
func Form(t *message.Printer, action string, values url.Values, problems map[string]string) view.FormState {
	return view.FormState{T: t, Token: app.NewForm().Token.String(), Action: action, Values: values, Errors: problems}
}

// NewToken returns a new hidden form token.
func NewToken() string { return app.NewForm().Token.String() }

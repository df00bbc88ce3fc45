package say

import (
	"net/url"

	"newel/internal/app"
	"newel/internal/message"
	"newel/internal/view"
)

// Form is a form about to be rendered, in the reader's language and with a
// fresh token.
func Form(t *message.Printer, action string, values url.Values, problems map[string]string) view.FormState {
	return view.FormState{T: t, Token: app.NewForm().Token.String(), Action: action, Values: values, Errors: problems}
}

// NewToken is the hidden token of a form about to be shown.
func NewToken() string { return app.NewForm().Token.String() }

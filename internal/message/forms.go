package message

import "maps"

// Forms returns a text in all its plural forms, for a client that fills in the
// values itself: by is the argument that selects the form, and forms is keyed
// by plural category. A text without forms has only the form "other".
func (p *Printer) Forms(key string) (by string, forms map[string]string) {
	e, ok := p.entries[key]
	if !ok {
		return "", map[string]string{"other": key}
	}
	if e.forms == nil {
		return "", map[string]string{"other": e.text}
	}
	return e.by, maps.Clone(e.forms)
}

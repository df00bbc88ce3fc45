package message

import "maps"

// Forms gives a text in all its plural forms, for a reader that fills in the
// values itself: by names the argument that chooses the form, and forms are
// keyed by plural category. A text without forms is given as "other".
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

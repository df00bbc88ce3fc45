package account

import "strings"

// Label shortens what a browser calls itself to what a person recognises:
// "Chrome on Android". Anything unknown is simply a browser.
func Label(userAgent string) string {
	name := first(userAgent, browsers)
	if name == "" {
		name = "Browser"
	}
	if system := first(userAgent, systems); system != "" {
		return name + " on " + system
	}
	return name
}

type mark struct{ in, name string }

// In this order: later ones also occur in the texts of earlier ones.
var browsers = []mark{
	{"SamsungBrowser/", "Samsung Internet"},
	{"EdgA/", "Edge"},
	{"Edg/", "Edge"},
	{"OPR/", "Opera"},
	{"FxiOS/", "Firefox"},
	{"Firefox/", "Firefox"},
	{"CriOS/", "Chrome"},
	{"Chrome/", "Chrome"},
	{"Safari/", "Safari"},
}

var systems = []mark{
	{"Android", "Android"},
	{"iPhone", "iPhone"},
	{"iPad", "iPad"},
	{"CrOS", "ChromeOS"},
	{"Windows", "Windows"},
	{"Mac OS X", "Mac"},
	{"Linux", "Linux"},
}

func first(text string, marks []mark) string {
	for _, m := range marks {
		if strings.Contains(text, m.in) {
			return m.name
		}
	}
	return ""
}

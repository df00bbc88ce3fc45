package href

// The way in and out.
const (
	Home     = "/"
	SignIn   = "/sign-in"
	SignOut  = "/sign-out"
	Password = "/password"

	Setup One[string]         = "/setup/{token}" // chooses the first password
	Join  One[string]         = "/join/{token}"  // binds a caregiver's phone
	Demo  Two[string, string] = "/demo/{key}/{who}"
)

// SignInThen leads to the sign-in page and from there to another address of
// the site.
func SignInThen(next string) string { return Query(SignIn, "next", next) }

// What the server itself answers.
const (
	Healthz = "/healthz"
	Readyz  = "/readyz"

	// Assets are the built client files. Their names may have folders.
	Assets = assets + "*"
	assets = "/assets/"
)

// Asset is the address of a built client file.
func Asset(name string) string { return assets + name }

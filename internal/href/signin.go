package href

// Signing in and out.
const (
	Home     = "/"
	SignIn   = "/sign-in"
	SignOut  = "/sign-out"
	Password = "/password"

	Setup One[string]         = "/setup/{token}" // choose the first password
	Join  One[string]         = "/join/{token}"  // link a caregiver's phone
	Demo  Two[string, string] = "/demo/{key}/{who}"
)

// SignInThen returns the sign-in page that continues to another address of the
// site.
func SignInThen(next string) string { return Query(SignIn, "next", next) }

// Addresses that the server itself answers.
const (
	Healthz = "/healthz"
	Readyz  = "/readyz"

	// Assets are the built client files. Their names may include folders.
	Assets = assets + "*"
	assets = "/assets/"
)

// Asset returns the address of a built client file.
func Asset(name string) string { return assets + name }

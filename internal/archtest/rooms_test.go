package archtest

// rooms is the architecture: a pure middle that computes every number, a store
// below it, pages above it. The tables in DEVELOPERS.md are generated from it.
// The test fails for packages that are not listed, so that each new package
// gets a place on purpose.
var rooms = plan{
	// Numbers.
	{
		name: "internal/exact", pure: true,
		holds: "decimals and rationals",
	},
	{
		name: "internal/stat", pure: true,
		holds: "binomial tails, permutations, trend, Wilson intervals",
		may:   []string{"internal/exact"},
	},
	{
		name: "internal/strict", pure: true,
		holds: "decodes JSON from outside: refuses unknown and duplicate fields, names the field in each error",
		may:   []string{"internal/exact"},
	},
	{
		name: "internal/measure", pure: true,
		holds: "one session’s record → exact values; agreement of two observers",
		may:   []string{"internal/exact", "internal/stat"},
	},
	{
		name: "internal/criterion", pure: true,
		holds: "criteria: parse, write, evaluate; readings, odds, luck, forecast",
		may:   []string{"internal/exact", "internal/measure", "internal/stat", "internal/timezone"},
	},
	{
		name: "internal/timezone", pure: true,
		holds: "loads and caches IANA time zones",
		except: map[string]string{
			"time.LoadLocation": "the one place that loads zones, once each",
		},
	},
	{
		name: "internal/chart", pure: true,
		holds: "drawings as numbers: stairways, graphs; no markup, no color",
	},
	// Reached only by `newel compute`.
	{
		name: "internal/compute", pure: true,
		holds: "the kinds of `newel compute`: decodes its cases and its questions about odds and luck. Only that command uses this package and those in its folder",
		may:   []string{"internal/compute/answer", "internal/compute/observation", "internal/compute/preference", "internal/compute/sequence", "internal/compute/singlecase", "internal/criterion", "internal/measure", "internal/strict"},
	},
	{
		name: "internal/compute/answer", pure: true,
		holds: "reads its documents, one at a time or one per line, and writes the answers",
		may:   []string{"internal/strict"},
	},
	{
		name: "internal/compute/singlecase", pure: true,
		holds: "two phases compared, trend, celeration",
		may:   []string{"internal/exact", "internal/stat", "internal/strict"},
	},
	{
		name: "internal/compute/observation", pure: true,
		holds: "reads the records of two observers; time sampling",
		may:   []string{"internal/exact", "internal/measure", "internal/strict"},
	},
	{
		name: "internal/compute/preference", pure: true,
		holds: "scores preference assessments",
		may:   []string{"internal/exact", "internal/strict"},
	},
	{
		name: "internal/compute/sequence", pure: true,
		holds: "the order of a session’s trials; twin of `web/src/ts/phone/sequence.ts`",
		may:   []string{"internal/exact", "internal/strict"},
	},
	// The domain, and all decisions that need no store.
	{
		name: "internal/newel", pure: true,
		holds:   "the domain: entities, typed ids, capacities and the permission matrix, kinds of error",
		may:     []string{"internal/criterion", "internal/timezone"},
		outside: []string{"github.com/google/uuid", "golang.org/x/text/cases", "golang.org/x/text/unicode/norm"},
		except: map[string]string{
			"github.com/google/uuid.NewV7": "NewID makes the ids that everything else is given",
		},
	},
	{
		name: "internal/program", pure: true,
		holds:   "the program document: its steps and targets, what blocks publishing, its form, and the kits that phones record with",
		may:     []string{"internal/criterion", "internal/exact", "internal/measure", "internal/newel"},
		outside: []string{"golang.org/x/text/language", "golang.org/x/text/language/display", "golang.org/x/text/unicode/norm"},
		except: map[string]string{
			"crypto/rand": "NewKey makes the keys of steps and targets",
		},
	},
	{
		name: "internal/letter", pure: true,
		holds:   "what a caregiver writes on a phone without signal, as a document",
		may:     []string{"internal/newel", "internal/strict"},
		outside: []string{"github.com/google/uuid"},
	},
	{
		name: "internal/recording", pure: true,
		holds:   "the recording document, its contract and how its states merge",
		may:     []string{"internal/exact", "internal/measure", "internal/newel", "internal/strict"},
		outside: []string{"github.com/google/uuid"},
	},
	{
		name: "internal/skill", pure: true,
		holds: "what programs and skills lead to: circles, what a learner lacks, a suggested order, the layers of the map",
		may:   []string{"internal/newel", "internal/program"},
	},
	{
		name: "internal/writing", pure: true,
		holds: "help with writing programs: series of steps, what a criterion demands, what is missing and how to fix it, a criterion tried on past sessions",
		may:   []string{"internal/criterion", "internal/exact", "internal/newel", "internal/program", "internal/skill"},
	},
	{
		name: "internal/revision", pure: true,
		holds: "two states of a program compared: what changed, and both merged; what was typed into a draft",
		may:   []string{"internal/criterion", "internal/program"},
	},
	{
		name: "internal/picture", pure: true,
		holds: "makes a picture safe to keep: upright, small, without metadata",
		may:   []string{"internal/newel"},
	},
	{
		name: "internal/programfile", pure: true,
		holds:   "a program as a file that people read and write, and as a zip with its pictures; starter programs",
		may:     []string{"internal/newel", "internal/picture", "internal/program"},
		outside: []string{"go.yaml.in/yaml/v4", "golang.org/x/text/unicode/norm"},
	},
	{
		name: "internal/reading", pure: true,
		holds: "what is computed and shown for a placement: caseload groups, suitable decisions, late data, prompt rules; no transactions",
		may:   []string{"internal/criterion", "internal/exact", "internal/measure", "internal/newel", "internal/program", "internal/recording", "internal/timezone"},
		except: map[string]string{
			"runtime/debug": "Evaluator returns a panic as an error with its stack",
		},
	},
	{
		name: "internal/message", pure: true,
		holds:   "catalogues: keys and arguments → text in a language",
		may:     []string{"internal/newel"},
		outside: []string{"golang.org/x/text/feature/plural", "golang.org/x/text/language", "golang.org/x/text/language/display", "golang.org/x/text/message", "golang.org/x/text/number"},
	},
	{
		name: "internal/href", pure: true,
		holds: "every address of the site, as a route pattern and as a link",
		may:   []string{"internal/newel"},
	},
	// The store.
	{
		name:    "migrations",
		holds:   "the schema as SQL, and the code that applies it",
		outside: []string{"github.com/jackc/pgx/v5", "github.com/jackc/pgx/v5/stdlib", "github.com/pressly/goose/v3", "github.com/pressly/goose/v3/lock"},
	},
	{
		name:    "internal/postgres",
		holds:   "scoped transactions, hand-written SQL, one file per aggregate",
		may:     []string{"internal/newel", "internal/program", "internal/reading", "internal/recording"},
		outside: []string{"github.com/google/uuid", "github.com/jackc/pgx/v5", "github.com/jackc/pgx/v5/pgconn", "github.com/jackc/pgx/v5/pgxpool"},
	},
	{
		name:    "internal/embeddedpg",
		holds:   "the built-in database",
		outside: []string{"github.com/jackc/pgx/v5"},
	},
	// People and pages.
	{
		name:    "internal/account",
		holds:   "passwords and tokens",
		may:     []string{"internal/newel"},
		outside: []string{"golang.org/x/crypto/argon2", "golang.org/x/text/unicode/norm"},
	},
	{
		name:  "internal/live",
		holds: "change notifications for open pages",
		may:   []string{"internal/newel"},
	},
	{
		name:    "internal/app",
		holds:   "one method for each thing a person does: permission, transaction, pure packages, store. Only this package combines them",
		may:     []string{"internal/account", "internal/criterion", "internal/href", "internal/letter", "internal/newel", "internal/picture", "internal/postgres", "internal/program", "internal/programfile", "internal/reading", "internal/recording", "internal/revision", "internal/skill", "internal/timezone", "internal/writing"},
		outside: []string{"github.com/google/uuid", "golang.org/x/text/language", "golang.org/x/text/unicode/norm"},
	},
	{
		name:    "internal/view",
		holds:   "templ components and their view models",
		may:     []string{"internal/chart", "internal/criterion", "internal/href", "internal/measure", "internal/message", "internal/newel", "internal/program", "internal/revision"},
		outside: []string{"github.com/a-h/templ", "github.com/a-h/templ/runtime", "rsc.io/qr"},
	},
	{
		name:    "internal/gallery",
		holds:   "every component of view with invented content, and all that the evaluator can say, for `cmd/gallery`; the server does not use it",
		may:     []string{"internal/chart", "internal/criterion", "internal/exact", "internal/measure", "internal/message", "internal/newel", "internal/program", "internal/reading", "internal/say", "internal/view", "internal/writing"},
		outside: []string{"github.com/a-h/templ", "github.com/a-h/templ/runtime"},
	},
	{
		name: "internal/say", pure: true,
		holds: "turns the results of app into view models and sentences; no HTTP",
		may:   []string{"internal/app", "internal/chart", "internal/criterion", "internal/exact", "internal/href", "internal/message", "internal/newel", "internal/program", "internal/programfile", "internal/reading", "internal/recording", "internal/revision", "internal/skill", "internal/timezone", "internal/view", "internal/writing"},
	},
	{
		name:    "internal/httpd",
		holds:   "routes, sign-ins, forms in, pages out, errors to statuses",
		may:     []string{"internal/account", "internal/app", "internal/criterion", "internal/href", "internal/letter", "internal/live", "internal/message", "internal/newel", "internal/picture", "internal/program", "internal/programfile", "internal/reading", "internal/recording", "internal/say", "internal/strict", "internal/timezone", "internal/view", "internal/writing"},
		outside: []string{"github.com/a-h/templ", "github.com/alexedwards/scs/v2", "github.com/go-chi/chi/v5", "github.com/go-chi/chi/v5/middleware", "github.com/go-chi/httprate", "github.com/google/uuid", "github.com/klauspost/compress/gzhttp"},
	},
	{
		name:  "internal/worker",
		holds: "background work on a schedule",
		may:   []string{"internal/embeddedpg"},
	},
	{
		name:  "internal/demo",
		holds: "the invented clinic, created through app like any other",
		may:   []string{"internal/app", "internal/measure", "internal/newel", "internal/program", "internal/recording", "internal/timezone"},
	},
	{
		name:  "internal/config",
		holds: "settings",
	},
	{
		name:  "web",
		holds: "client sources, browser tests, built assets",
	},
	// Commands.
	{
		name:    "cmd/newel",
		holds:   "the program: subcommands and wiring",
		may:     []string{anything},
		outside: []string{"github.com/alexedwards/scs/pgxstore", "github.com/jackc/pgx/v5"},
	},
	{
		name:    "cmd/assets",
		holds:   "bundles the client code",
		may:     []string{"web"},
		outside: []string{"github.com/andybalholm/brotli", "github.com/evanw/esbuild/pkg/api"},
	},
	{
		name:  "cmd/gallery",
		holds: "writes pages with canned data, for browser tests",
		may:   []string{"internal/gallery", "web"},
	},
	// Only tests.
	{
		name: "internal/pgtest", tests: true,
		holds:   "test databases: a Postgres, a migrated template, clones of it",
		may:     []string{"internal/embeddedpg", "migrations"},
		outside: []string{"github.com/jackc/pgx/v5", "github.com/jackc/pgx/v5/pgxpool"},
	},
	{
		name: "internal/pgtest/tenants", tests: true,
		holds:   "two clinics with a row in every table, for tests of isolation",
		may:     []string{"internal/account", "internal/criterion", "internal/measure", "internal/newel", "internal/pgtest", "internal/program", "internal/recording", "migrations"},
		outside: []string{"github.com/google/uuid", "github.com/jackc/pgx/v5", "github.com/jackc/pgx/v5/pgxpool"},
	},
	{
		name: "internal/fixture", tests: true,
		holds:   "small clinics for tests to start from",
		may:     []string{"internal/measure", "internal/newel", "internal/pgtest", "internal/program", "internal/recording"},
		outside: []string{"github.com/jackc/pgx/v5"},
	},
	{
		name: "internal/fixture/phone", tests: true,
		holds: "what a phone’s scripts do, for tests of the server",
		may:   []string{"internal/newel", "internal/recording"},
	},
	{
		name: "internal/htmlcheck", tests: true,
		holds:   "finds elements in rendered pages",
		outside: []string{"github.com/andybalholm/cascadia", "golang.org/x/net/html"},
	},
	{
		name: "internal/archtest", tests: true,
		holds: "tests of this architecture",
	},
	{
		name: "internal/verification", tests: true,
		holds: "tests that check the numbers against outside sources and write [docs/verification.md](docs/verification.md)",
	},
}

// forTests lists third-party packages that the tests of a room may import in
// addition to the room's own and those that all tests may import.
var forTests = map[string][]string{
	"internal/app":        {"github.com/jackc/pgx/v5", "github.com/jackc/pgx/v5/pgxpool"},
	"internal/embeddedpg": {"github.com/jackc/pgx/v5/pgconn"},
	"internal/httpd":      {"github.com/alexedwards/scs/v2/memstore", "github.com/jackc/pgx/v5", "golang.org/x/net/html"},
	"migrations":          {"github.com/jackc/pgx/v5/pgconn", "github.com/jackc/pgx/v5/pgxpool"},
}

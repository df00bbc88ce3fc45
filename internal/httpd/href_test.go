package httpd

import (
	"go/ast"
	"go/parser"
	"go/token"
	"net/http"
	"net/url"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"github.com/go-chi/chi/v5"

	"newel/internal/href"
	"newel/internal/newel"
)

// declared reads the values of package href's exported constants and the names
// of its functions from the source.
func declared(t *testing.T) (addresses map[string]string, functions []string) {
	t.Helper()
	files, err := filepath.Glob("../href/*.go")
	if err != nil || len(files) == 0 {
		t.Fatalf("no source of href: %v", err)
	}
	exprs := map[string]ast.Expr{}
	for _, file := range files {
		if strings.HasSuffix(file, "_test.go") {
			continue
		}
		f, err := parser.ParseFile(token.NewFileSet(), file, nil, 0)
		if err != nil {
			t.Fatal(err)
		}
		for _, d := range f.Decls {
			switch d := d.(type) {
			case *ast.FuncDecl:
				if d.Recv == nil && d.Name.IsExported() {
					functions = append(functions, d.Name.Name)
				}
			case *ast.GenDecl:
				for _, spec := range d.Specs {
					if v, ok := spec.(*ast.ValueSpec); ok && d.Tok == token.CONST {
						exprs[v.Names[0].Name] = v.Values[0]
					}
				}
			}
		}
	}
	var value func(ast.Expr) string
	value = func(e ast.Expr) string {
		switch e := e.(type) {
		case *ast.BasicLit:
			s, _ := strconv.Unquote(e.Value)
			return s
		case *ast.Ident:
			return value(exprs[e.Name])
		case *ast.BinaryExpr:
			return value(e.X) + value(e.Y)
		}
		t.Fatalf("href has a constant of a kind that this test cannot read: %T", e)
		return ""
	}
	addresses = map[string]string{}
	for name, e := range exprs {
		if ast.IsExported(name) {
			addresses[name] = value(e)
		}
	}
	return addresses, functions
}

// everything returns the table of routes and everything else that the server
// answers.
func everything() (patterns map[string]bool, router *chi.Mux) {
	patterns, router = map[string]bool{href.Healthz: true, href.Readyz: true, href.Assets: true}, chi.NewRouter()
	for _, r := range (&Server{demo: &Demo{}}).Routes() {
		patterns[r.Pattern] = true
	}
	for p := range patterns {
		router.Handle(p, http.NotFoundHandler())
	}
	return patterns, router
}

// TestAddressesAreRoutes checks that each address of package href is the
// pattern of a route and vice versa, and that a filled-in pattern is found by
// its own route only.
func TestAddressesAreRoutes(t *testing.T) {
	t.Parallel()
	addresses, _ := declared(t)
	patterns, router := everything()
	variable := regexp.MustCompile(`\{\w+\}|\*`)
	known := map[string]bool{}
	for name, address := range addresses {
		if name == "Phone" { // a prefix of addresses that answer with JSON, not an address
			continue
		}
		known[address] = true
		if !patterns[address] {
			t.Errorf("href.%s: no route has the pattern %s", name, address)
		}
		filled := variable.ReplaceAllString(address, "01890000-0000-7000-8000-000000000000")
		if got := router.Find(chi.NewRouteContext(), "GET", filled); got != address {
			t.Errorf("href.%s: %s is found by %q", name, filled, got)
		}
	}
	for p := range patterns {
		if !known[p] {
			t.Errorf("the route %s has an address that is not in package href", p)
		}
	}
}

// TestAddressesReachTheirRoutes checks that the result of each function of package href is
// found by the route it is named after.
func TestAddressesReachTheirRoutes(t *testing.T) {
	t.Parallel()
	var (
		learner   = newel.NewID[newel.LearnerID]()
		program   = newel.NewID[newel.ProgramID]()
		placement = newel.NewID[newel.PlacementID]()
		review    = newel.NewID[newel.ReviewID]()
		recording = newel.NewID[newel.RecordingID]()
	)
	leads := map[string]struct{ address, pattern string }{
		"AssignProgram":     {href.AssignProgram(learner, program), string(href.LearnerAssign)},
		"LearnerSkill":      {href.LearnerSkill(learner, newel.NewID[newel.SkillID]()), string(href.LearnerSkills)},
		"LearnerReviewList": {href.LearnerReviewList(learner), string(href.Learner)},
		"Query":             {href.Query(href.Caseload, "sort", "day"), href.Caseload},
		"Live":              {href.Live(href.Caseload), href.CaseloadLive},
		"InState":           {href.InState(href.Program.To(program), "draft"), string(href.Program)},
		"CompareStates":     {href.CompareStates(program, "1", "draft"), string(href.ProgramCompare)},
		"ExportZip":         {href.ExportZip(program), string(href.ProgramExport)},
		"DraftStep":         {href.DraftStep(program, "s1"), string(href.Draft)},
		"StepCriterion":     {href.StepCriterion(program, "s1"), string(href.DraftCriterion)},
		"StepPictures":      {href.Draft.To(program) + href.StepPictures("s1"), string(href.DraftPictures)},
		"LadderAfter":       {href.Draft.To(program) + href.LadderAfter("r1", "s1"), string(href.DraftLadder)},
		"SignInThen":        {href.SignInThen(href.Today), href.SignIn},
		"Asset":             {href.Asset("staff.css"), href.Assets},
		"CaseloadAfter":     {href.CaseloadAfter(2, 1), href.Caseload},
		"Decision":          {href.Decision(placement, newel.NewID[newel.DecisionID]()), string(href.Placement)},
		"Decide":            {href.Decide(placement), string(href.Placement)},
		"Lift":              {href.Lift(placement), string(href.Placement)},
		"PlacementPlan":     {href.PlacementPlan(placement), string(href.Placement)},
		"DecideAs":          {href.DecideAs(placement, "hold"), string(href.Placement)},
		"ReviewAlone":       {href.ReviewAlone(review, "agreed"), string(href.Review)},
		"FidelityList":      {href.FidelityList(placement), string(href.Placement)},
		"AskAbout":          {href.AskAbout(placement, "idle"), string(href.PlacementAsk)},
		"Twin":              {href.Twin(recording), string(href.Recording)},
	}
	_, functions := declared(t)
	for _, name := range functions {
		if _, there := leads[name]; !there {
			t.Errorf("href.%s is not in this test", name)
		}
	}
	_, router := everything()
	for name, l := range leads {
		u, err := url.Parse(l.address)
		if err != nil {
			t.Errorf("href.%s: %v", name, err)
			continue
		}
		if got := router.Find(chi.NewRouteContext(), "GET", u.EscapedPath()); got != l.pattern {
			t.Errorf("href.%s makes %s, which is found by %q, want %s", name, l.address, got, l.pattern)
		}
	}
}

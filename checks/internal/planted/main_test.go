package planted

import (
	"flag"
	"os"
	"testing"
)

// With CI=true the properties draw the same elections each time, so that a run can
// be repeated; elsewhere each run draws others.
func TestMain(m *testing.M) {
	flag.Parse()
	if os.Getenv("CI") == "true" {
		if err := flag.Set("rapid.seed", "20271102"); err != nil {
			panic(err)
		}
	}
	// Each check compares a whole county, so the short run draws ten: rapid divides by five.
	if checks := flag.Lookup("rapid.checks"); testing.Short() && checks.Value.String() == checks.DefValue {
		if err := checks.Value.Set("50"); err != nil {
			panic(err)
		}
	}
	os.Exit(m.Run())
}

package planted

import (
	"flag"
	"os"
	"testing"
)

// With CI=true the properties draw the same elections each time, so that a run can
// be repeated; elsewhere each run draws others, and half as many, because each check
// compares a whole county. (In the short run rapid draws a fifth of those.)
func TestMain(m *testing.M) {
	flag.Parse()
	var err error
	if checks := flag.Lookup("rapid.checks"); os.Getenv("CI") == "true" {
		err = flag.Set("rapid.seed", "20271102")
	} else if checks.Value.String() == checks.DefValue {
		err = checks.Value.Set("50")
	}
	if err != nil {
		panic(err)
	}
	os.Exit(m.Run())
}

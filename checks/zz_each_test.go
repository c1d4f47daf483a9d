package checks_test

import (
	"fmt"
	"math/rand/v2"
	"os"
	"testing"

	"counterproof/checks"
	"counterproof/checks/planted"
)

func TestEachKindZZ(t *testing.T) {
	n := uint64(12)
	fmt.Sscan(os.Getenv("ZN"), &n)
	for _, wrong := range []checks.Side{checks.SidePrimary, checks.SideSecond} {
		for _, k := range kindsOn(wrong) {
			bad, ok := 0, 0
			var first error
			for seed := uint64(0); seed < n; seed++ {
				shape := planted.ShapeOf(seed)
				shape.Precincts = min(shape.Precincts, 60)
				c := planted.New(seed, shape)
				before := checks.Compare(c.Primary.Election, c.Second.Election, checks.Options{}).Findings
				for p := range uint64(2) {
					pc, names := plant(c, []*planted.Kind{k}, rand.New(rand.NewPCG(seed, p)))
					if len(names) == 0 {
						continue
					}
					if err := mendAll(pc.Primary.Election, pc.Second.Election, wrong, before); err != nil {
						bad++
						if first == nil {
							first = fmt.Errorf("seed %d.%d: %w", seed, p, err)
						}
					} else {
						ok++
					}
				}
			}
			if bad > 0 {
				fmt.Printf("== %s [%s] bad %d ok %d\n%v\n", k.Name, wrong, bad, ok, first)
			} else {
				fmt.Printf("ok %s [%s] %d\n", k.Name, wrong, ok)
			}
		}
	}
}

// Command table prints, as Markdown, what Compare makes of every kind of planted
// mistake and of every change that means nothing, over many counties:
//
//	go run ./checks/internal/planted/table [-seeds 20] [-v]
package main

import (
	"flag"
	"fmt"
	"math/rand/v2"
	"os"
	"runtime"
	"sync"

	"counterproof/checks/internal/planted"
)

func main() {
	seeds := flag.Int("seeds", 20, "in how many counties each kind is planted")
	verbose := flag.Bool("v", false, "print on standard error what was missed, and what was found beyond the mistake")
	flag.Parse()
	if !table(*seeds, *verbose) {
		os.Exit(1)
	}
}

// row is what came of one kind, or of all.
type row struct {
	name, code, side string
	planted          int // in how many counties
	o                planted.Outcome
	reports          []string
}

func (r *row) add(o planted.Outcome) {
	r.planted++
	r.o.Expected += o.Expected
	r.o.Found += o.Found
	r.o.Exact += o.Exact
	r.o.Placed += o.Placed
	r.o.Noise += o.Noise
	if o.Report != "" {
		r.reports = append(r.reports, o.Report)
	}
}

// table prints the table and says whether the targets are met.
func table(seeds int, verbose bool) bool {
	kinds := planted.Kinds()
	rows := make([]row, len(kinds))
	var mutex sync.Mutex
	// A county is made once and serves every kind that still wants one. Some kinds
	// have a place in few counties, so there are more counties than seeds.
	each(8*seeds, func(seed uint64) {
		var county *planted.County
		for i, k := range kinds {
			mutex.Lock()
			enough := rows[i].planted >= seeds
			mutex.Unlock()
			if enough {
				continue
			}
			if county == nil {
				county = planted.New(seed, planted.ShapeOf(seed))
			}
			o, ok := planted.Trial(k, county)
			mutex.Lock()
			if ok && rows[i].planted < seeds {
				rows[i].add(o)
			}
			mutex.Unlock()
		}
	})
	fmt.Println("| mistake | side | code | planted | found | exact code | exact place and grade | noise |")
	fmt.Println("|---|---|---|--:|--:|--:|--:|--:|")
	var all row
	met := true
	for i, k := range kinds {
		r := &rows[i]
		r.name, r.code, r.side = k.Name, string(k.Code), k.Side
		fmt.Printf("| %s | %s | `%s` | %d | %s | %s | %s | %.2f |\n", r.name, r.side, r.code, r.planted,
			share(r.o.Found, r.o.Expected), share(r.o.Exact, r.o.Expected), share(r.o.Placed, r.o.Expected),
			mean(r.o.Noise, r.planted))
		all.planted += r.planted
		all.o.Expected += r.o.Expected
		all.o.Found += r.o.Found
		all.o.Exact += r.o.Exact
		all.o.Placed += r.o.Placed
		all.o.Noise += r.o.Noise
		met = met && r.planted > 0
		if verbose {
			for _, report := range r.reports {
				fmt.Fprintln(os.Stderr, report)
			}
		}
	}
	fmt.Printf("| **all %d kinds** | | | **%d** | **%s** | **%s** | **%s** | **%.3f** |\n", len(kinds), all.planted,
		share(all.o.Found, all.o.Expected), share(all.o.Exact, all.o.Expected), share(all.o.Placed, all.o.Expected),
		mean(all.o.Noise, all.planted))

	ten := together(kinds, seeds)
	fmt.Printf("| **ten at a time, in %d counties** | | | **%d** | **%s** | **%s** | **%s** | **%.3f** |\n", seeds,
		ten.planted,
		share(ten.o.Found, ten.o.Expected), share(ten.o.Exact, ten.o.Expected), share(ten.o.Placed, ten.o.Expected),
		mean(ten.o.Noise, ten.planted))
	if verbose {
		for _, report := range ten.reports {
			fmt.Fprintln(os.Stderr, report)
		}
	}

	fmt.Println()
	fmt.Println("| change that means nothing | tried | silent |")
	fmt.Println("|---|--:|--:|")
	tried, silent := 0, 0
	for _, v := range planted.Variants() {
		n, quiet := 0, 0
		each(8*seeds, func(seed uint64) {
			mutex.Lock()
			enough := n >= seeds
			mutex.Unlock()
			if enough {
				return
			}
			report, ok := v.Try(planted.New(seed, planted.ShapeOf(seed)))
			mutex.Lock()
			defer mutex.Unlock()
			if !ok || n >= seeds {
				return
			}
			n++
			if report == "" {
				quiet++
			} else if verbose {
				fmt.Fprintln(os.Stderr, report)
			}
		})
		fmt.Printf("| %s | %d | %s |\n", v.Name, n, share(quiet, n))
		tried += n
		silent += quiet
		met = met && n > 0
	}
	fmt.Printf("| **all %d changes** | **%d** | **%s** |\n", len(planted.Variants()), tried, share(silent, tried))
	return met && all.o.Found == all.o.Expected && 100*all.o.Exact >= 95*all.o.Expected &&
		20*all.o.Noise <= all.planted && silent == tried
}

// together plants all kinds, ten at a time, in each of some counties.
func together(kinds []*planted.Kind, seeds int) (all row) {
	var mutex sync.Mutex
	each(seeds, func(seed uint64) {
		county := planted.New(seed, planted.ShapeOf(seed))
		order := rand.New(rand.NewPCG(seed, 10)).Perm(len(kinds))
		for at := 0; at < len(order); at += 20 { // of twenty, ten mostly have a place beside each other
			var list []*planted.Kind
			for _, i := range order[at:min(at+20, len(order))] {
				list = append(list, kinds[i])
			}
			o, n := planted.Together(list, 10, county)
			mutex.Lock()
			all.add(o)
			all.planted += n - 1
			mutex.Unlock()
		}
	})
	return all
}

// each does the work for every seed from 0, in order, on all processors.
func each(n int, work func(seed uint64)) {
	var group sync.WaitGroup
	seeds := make(chan uint64)
	for range runtime.GOMAXPROCS(0) {
		group.Go(func() {
			for seed := range seeds {
				work(seed)
			}
		})
	}
	for seed := range uint64(n) {
		seeds <- seed
	}
	close(seeds)
	group.Wait()
}

func share(part, whole int) string {
	if whole == 0 {
		return "–"
	}
	if part == whole {
		return "100 %"
	}
	return fmt.Sprintf("%.1f %%", 100*float64(part)/float64(whole))
}

func mean(n, of int) float64 {
	if of == 0 {
		return 0
	}
	return float64(n) / float64(of)
}

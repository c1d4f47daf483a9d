// Package loading is the arithmetic of cards at the machine: which export each card was made from,
// what each voting unit must show, what it showed, and what of it is a fault.
//
// PlanOf says what has to be, by the approved export. A Warehouse puts the ledger of cards and the
// records of the teams beside it: it sorts them into visits; Agreements holds one visit's readings
// against the plan, Findings judges every unit. A Clock holds the clocks against the county's time.
// Changes says which cards a later export makes stale, and why.
//
// It knows no files and no case, reads and writes no card and asks no machine.
package loading

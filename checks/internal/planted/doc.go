// Package planted proves the checks by planted mistakes. It makes realistic
// counties from a seed, each as two entries that mean the same (a configuration
// export as a reader would give it, and a second entry as the sheets would),
// plants one known mistake or two on one side, or a change that means nothing,
// and says which findings there have to be.
//
// The command checks/internal/planted/table prints what came of it over many seeds.
//
// What is expected is written down from the design's words and thought through
// kind by kind. Nothing in it was copied from what the checks answered.
package planted

package app

// The endings of decks, and of results.
var (
	deckEndings    = []string{".csv"}
	resultsEndings = []string{".xml", ".json", ".csv"}
)

// ChooseDeck asks for a test deck that exists.
func (w *Window) ChooseDeck(then func(path string)) {
	w.chooseFiles("The deck", "Its deck.csv: one mark on one test ballot in each row (ballot, precinct, style, party, "+
		"contest, position, mark).", "Choose it", deckEndings, false, func(paths []string) { then(paths[0]) })
}

// ChooseResults asks for a file of results.
func (w *Window) ChooseResults(then func(path string)) {
	w.chooseFiles("The machine's results", "Counts (SP 1500-100, XML or JSON), cast vote records (SP 1500-103), or a "+
		"CSV file with the columns of key.csv. They come in byte for byte.", "Choose it", resultsEndings, false,
		func(paths []string) { then(paths[0]) })
}

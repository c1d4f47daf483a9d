package demo

import "counterproof/model"

// Document is a certified document of the demo, in the folder that Write fills.
type Document struct {
	Kind                         model.WitnessKind
	File, Mapping, Name, Version string
}

// Documents are the demo's certified documents. They are invented, as everything is.
var Documents = []Document{
	{model.WitnessCandidates, "certified/candidates.csv", "certified/candidates.json", "Certified list of candidates",
		"1 October 2027"},
	{model.WitnessDistricts, "certified/districts.csv", "certified/districts.json", "District table",
		"1 July 2027"},
}

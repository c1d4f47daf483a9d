package machines

import "strings"

// Zone is a time zone of the United States: its name in the tz database, and where it is kept.
type Zone struct{ Name, Where string }

// Zones are those of the states and territories, with the comments of zone.tab in the tz database.
var Zones = []Zone{
	{"America/New_York", "Eastern (most areas)"},
	{"America/Detroit", "Eastern - MI (most areas)"},
	{"America/Kentucky/Louisville", "Eastern - KY (Louisville area)"},
	{"America/Kentucky/Monticello", "Eastern - KY (Wayne)"},
	{"America/Indiana/Indianapolis", "Eastern - IN (most areas)"},
	{"America/Indiana/Vincennes", "Eastern - IN (Da, Du, K, Mn)"},
	{"America/Indiana/Winamac", "Eastern - IN (Pulaski)"},
	{"America/Indiana/Marengo", "Eastern - IN (Crawford)"},
	{"America/Indiana/Petersburg", "Eastern - IN (Pike)"},
	{"America/Indiana/Vevay", "Eastern - IN (Switzerland)"},
	{"America/Chicago", "Central (most areas)"},
	{"America/Indiana/Tell_City", "Central - IN (Perry)"},
	{"America/Indiana/Knox", "Central - IN (Starke)"},
	{"America/Menominee", "Central - MI (Wisconsin border)"},
	{"America/North_Dakota/Center", "Central - ND (Oliver)"},
	{"America/North_Dakota/New_Salem", "Central - ND (Morton rural)"},
	{"America/North_Dakota/Beulah", "Central - ND (Mercer)"},
	{"America/Denver", "Mountain (most areas)"},
	{"America/Boise", "Mountain - ID (south), OR (east)"},
	{"America/Phoenix", "Mountain without daylight saving time - AZ (except Navajo)"},
	{"America/Los_Angeles", "Pacific"},
	{"America/Anchorage", "Alaska (most areas)"},
	{"America/Juneau", "Alaska - Juneau area"},
	{"America/Sitka", "Alaska - Sitka area"},
	{"America/Metlakatla", "Alaska - Annette Island"},
	{"America/Yakutat", "Alaska - Yakutat"},
	{"America/Nome", "Alaska (west)"},
	{"America/Adak", "Alaska - western Aleutians"},
	{"Pacific/Honolulu", "Hawaii"},
	{"America/Puerto_Rico", "Puerto Rico"},
	{"America/St_Thomas", "U.S. Virgin Islands"},
	{"Pacific/Guam", "Guam"},
	{"Pacific/Saipan", "Northern Mariana Islands"},
	{"Pacific/Pago_Pago", "American Samoa"},
}

// zoneNamed is a zone as the tz database writes it: of the United States without regard of case, and with
// blanks for the underscores; any other as it is typed.
func zoneNamed(text string) string {
	name := strings.Join(strings.Fields(text), "_")
	for _, z := range Zones {
		if strings.EqualFold(z.Name, name) {
			return z.Name
		}
	}
	return strings.TrimSpace(text)
}

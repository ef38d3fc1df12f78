package dose

// ownID marks a limit that is this program's own.
const ownID = "own"

// sourceRows is the table of sources. Standing says what of each was read.
var sourceRows = []Source{
	{ownID, "the program's own limit; no published figure was found", "", "", "", Memory, "common practice, no source"},
	{"arithmetic", "arithmetic and unit algebra", "", "", "", Arithmetic, "needs no source"},
	{"ciede2000", "The CIEDE2000 color-difference formula: implementation notes, supplementary test data, and mathematical observations", "G. Sharma, W. Wu, E. N. Dalal", "2005", "http://www2.ece.rochester.edu/~gsharma/ciede2000/", Seen, "formula and all 34 pairs read"},
	{"cie-lab", "Colorimetry: CIE 1976 L*a*b* colour space (ISO 11664-4)", "CIE; ISO", "2008", "", Arithmetic, "formula is arithmetic; the standard itself was not opened"},
	{"srgb", "IEC 61966-2-1 sRGB, constants as carried by colour-science/colour", "IEC; Colour Developers", "1999", "https://github.com/colour-science/colour", Computed, "matrix and transfer curve read in the library; results computed"},
	{"iso105-a02", "EN 20105-A02:1994 / ISO 105-A02:1993, grey scale for assessing change in colour", "CEN; ISO", "1993", "https://standards.iteh.ai/catalog/standards/cen/333e3b22-261f-4026-947b-4d1ca186db32/en-20105-a02-1994", Seen, "chip contrasts read in an open preview"},
	{"iso105-a03", "ISO 105-A03, grey scale for assessing staining", "ISO", "2019", "", Mixed, "standard not opened; its nine contrasts seen second hand in one open program that names it"},
	{"iso105-a04", "ISO 105-A04, instrumental assessment of the degree of staining", "ISO", "1989", "", Mixed, "standard not opened; formula and classes seen second hand in two open programs that agree, one naming EN ISO 105-A04:1999, and they meet the staining scale"},
	{"iso105-a05", "ISO 105-A05, instrumental assessment of change in colour", "ISO", "1996", "", Mixed, "standard not opened; weights and classes seen second hand in two open programs that agree, one further program names EN ISO 105-A05:1997 for the grade formula; neutral changes meet the A02 scale that was read"},
	{"astm-e313", "E313 Standard Practice for Calculating Yellowness and Whiteness Indices from Instrumentally Measured Color Coordinates", "ASTM", "2015", "https://www.astm.org/e0313-20.html", Computed, "scope read; coefficients read in an open library's tests that cite E313-15"},
	{"cie-whiteness", "CIE whiteness and tint (2004), as documented by colour-science/colour", "CIE; Colour Developers", "2004", "https://colour.readthedocs.io/en/develop/generated/colour.colorimetry.whiteness_CIE2004.html", Seen, "formula, cases and the limits of its use read in the library's documentation"},
	{"iso105-x12", "ISO 105-X12:2016, colour fastness to rubbing", "ISO", "2016", "https://www.52voa.cn/iso-105-x12-2016-pdf-free.html", Seen, "force, finger and track read in open previews"},
	{"loc-permanence", "Final Report to Congress on permanent papers, Appendix 3: comparison of permanent paper standards", "Library of Congress", "about 1995 (date not seen)", "http://www.loc.gov/preservation/resources/rt/perm/pp_x3.html", Seen, "table read"},
	{"iso10716", "ISO 10716:2022, determination of alkali reserve", "ISO", "2022", "https://theiteh.com/catalog/standards/iso/b7407ea8-4df3-487c-b9e4-1d21c437c859/iso-10716-2022", Arithmetic, "scope read; conversion is arithmetic"},
	{"phreeqc", "PHREEQC version 3 thermodynamic databases minteq.v4.dat (constants of NIST Standard Reference Database 46) and phreeqc.dat", "U.S. Geological Survey", "2025", "https://github.com/usgs-coupled/phreeqc3", Computed, "constants read; results computed"},
	{"davies", "Davies equation, slope 0.509", "", "", "https://github.com/usgs-coupled/phreeqc3", Computed, "form and slope as in PHREEQC; the bound of 0.5 mol/L is from memory"},
	{"chelates-01", "Chelate stability constants at ionic strength 0.1, a supplier's table", "", "", "", Seen, "seen second hand"},
	{"nbs-buffers", "Standard pH by temperature (JIS Z 8802; National Bureau of Standards papers 1956 to 1977)", "JIS; National Bureau of Standards", "1977", "https://doi.org/10.6028/jres.081A.005", Seen, "values read, but for the three-decimal phosphate 6.865"},
	{"bates-1956", "Calcium hydroxide as a highly alkaline pH standard, J. Res. NBS 56, 305-312", "R. G. Bates, V. E. Bower, E. R. Smith", "1956", "https://doi.org/10.6028/jres.056.040", Seen, "abstract read: 0.0203 mol/L, pH 12.45, -0.033 a degree, buffer value 0.09"},
	{"peroxide-volumes", "Strength of hydrogen peroxide solution (worked example)", "", "2010", "http://chemistrytip.blogspot.com/2010/09/what-is-volume-of-hydrogen-peroxide.html", Arithmetic, "30-volume example read; the rest is arithmetic with 22.414 L/mol"},
	{"hansen", "Hansen Solubility Parameters: A User's Handbook, as listed in an encyclopedia article", "C. M. Hansen", "2007", "https://de.zxc.wiki/wiki/Hansen-L%C3%B6slichkeitsparameter", Seen, "table read, but for the rows marked memory"},
	{"hansen-distance", "Hansen solubility parameters (formula and table page)", "C. M. Hansen", "2007", "http://www.stenutz.eu/chem/solv24.php", Computed, "formula read; results computed"},
	{"teas", "Posting on solvent blends, Conservation DistList, 25 July 1989; method in Solubility Parameters: Theory and Application (1984)", "W. Henry; J. Burke", "1989", "https://cool.culturalheritage.org/byform/mailing-lists/cdl/1989/0040.html", Mixed, "three points and four mixtures read; the other table points are from memory"},
	{"vazquez-1995", "Surface tension of alcohol + water from 20 to 50 C, J. Chem. Eng. Data 40, 611-614", "G. Vazquez, E. Alvarez, J. M. Navaza", "1995", "https://datapdf.com/surface-tension-of-alcohol-water-from-20-to-50-american-chem.html", Mixed, "methanol columns read; ethanol columns from memory"},
	{"luxpy", "luxpy: CIE 1931 colour matching functions, IEC 62471 blue hazard table, CIE standard spectra", "K. Smet; CIE; IEC", "2025", "https://github.com/ksmet1977/luxpy", Computed, "tables read; sums computed"},
	{"iec62471", "IEC 62471:2006 section 4.3.3 (extended sources) as quoted by two open libraries; ICNIRP 2013", "IEC; ICNIRP", "2006", "https://github.com/ISET/isetcam", Seen, "limits for extended sources read; those for small sources are from memory"},
	{"iec62471-uv", "IEC 62471:2006 sections 4.3.1 and 4.3.2 as quoted by an open library", "IEC", "2006", "https://github.com/ISET/isetcam", Seen, "limits read"},
	{"iec62471-small", "IEC 62471:2006 section 4.3.4 (small sources)", "IEC", "2006", "", Memory, "from memory; never allows anything"},
	{"light-sum", "How to limit damage caused by illumination (exposure = illuminance x time)", "", "", "https://libros.construccionverde.es/en/book/cie-1572004-control-of-damage-to-museum-objects-by-optical-radiation", Arithmetic, "50 lx for 10 h equals 250 lx for 2 h read; the rest is arithmetic"},
	{"cameo-wool", "CAMEO: Blue Wool Standard (after S. Michalski 1990)", "Museum of Fine Arts Boston", "date not seen", "https://cameo.mfa.org/wiki/Blue_Wool_Standard", Computed, "0.4 and 900 Mlx h for steps 1 and 8, and a factor of 2 to 3 a step, read; the steps between computed by equal ratios"},
	{"led-2019", "Light emitting diodes (LED) for aqueous light bleaching of paper, Restaurator 40(2), 69-95", "B. Kirschner, I. Brückle, U. Henniges", "2019", "https://doi.org/10.1515/res-2018-0022", Seen, "abstract read: white LED at 4000 and 6500 K, 10 and 20 cm above the tray; no dose for narrow-band blue"},
	{"halide-2003", "Light bleaching (query on metal halide units), Conservation DistList 17:20", "A. Rugheimer, citing R. Perkinson", "2003", "https://cool.culturalheritage.org/byform/mailing-lists/cdl/2003/1095.html", Seen, "1000 W metal halide, 1 to 4 h, read"},
	{"reyden-update", "Update on current research into aqueous light bleaching at the Conservation Analytical Laboratory", "D. van der Reyden and others", "date not seen", "https://vdocuments.site/update-on-current-research-into-aqueous-light-bleaching-at-that-paper.html", Seen, "opening pages read: filtered sun, 2 to 4 h"},
	{"wmo-magnus", "Guide to Meteorological Instruments and Methods of Observation (WMO No. 8), Annex 4.B, seen through pages that quote it", "WMO", "2008", "https://novasolver.jp/zh/tools/dew-point-rh.html", Computed, "formula read; results computed"},
	{"wexler-salts", "Constant humidity solutions, CRC Handbook of Chemistry and Physics, section 15", "A. Wexler", "2005", "https://hbcp.chemnetbase.com/faces/documents/15_09/15_09_0001.xhtml", Seen, "formula and table read"},
	{"padfield-salts", "Properties of selected saturated salt solutions, after L. Greenspan 1977", "T. Padfield; L. Greenspan", "1977", "https://padfield.org/tim/cfys/satslt/satsalt.html", Seen, "table read; its 75.7 for sodium chloride at 20 C is a slip for 75.5"},
	{"sebera-1994", "Isoperms: an environmental management tool", "D. K. Sebera, Commission on Preservation and Access", "1994", "https://www.clir.org/pubs/reports/isoperm/isop-rh/", Mixed, "humidity law, its range and 25 and 35 kcal/mol read; temperature law from memory, borne out by one printed reading"},
	{"strang-2009", "Temperature and humidity considerations for the preservation of organic collections - the isoperm revisited, e-PS 6, 122-128", "T. Strang, D. Grattan", "2009", "https://studylib.net/doc/11044295/", Arithmetic, "use of Arrhenius read; the band of 80 to 120 kJ/mol is from memory; ratios are arithmetic"},
	{"paper-growth", "Dimensional stability typical values; Re: About paper grain (Book_Arts list, June 2000)", "various", "2011", "http://cool.conservation-us.org/byform/mailing-lists/bookarts/2000/06/msg00238.html", Seen, "bands read; the humidity step behind the typical values isn't stated there"},
	{"paper-moisture", "Paper and Its Uses (handbook); Paper moisture and relative humidity, technical bulletin 2005-2", "various", "2005", "https://studylib.net/doc/8779485/moisture-and-humidity", Seen, "usual 2 to 10 per cent, extremes 0.5 to 13, matured paper about 7, read; no sorption curve of newsprint was found"},
	{"hsp", "Conservation lab note on paper mending", "Historical Society of Pennsylvania", "date not seen", "https://hsp.org/node/3406", Seen, "strip width about 3 mm, starch to water 1:5, read"},
}

var sourceByID = func() map[string]Source {
	m := map[string]Source{}
	for _, s := range sourceRows {
		m[s.ID] = s
	}
	return m
}()

// SourceByID finds a source; an unknown id gives a source that says so, which
// the tests look for.
func SourceByID(id string) Source {
	if s, ok := sourceByID[id]; ok {
		return s
	}
	return Source{ID: id, Title: "no such source", Class: Memory}
}

// Sources is a copy of the table.
func Sources() []Source { return append([]Source(nil), sourceRows...) }

// sourceTitle names a source in a sentence: author, year and title.
func sourceTitle(id string) string {
	s, ok := sourceByID[id]
	if !ok {
		return id
	}
	name := s.Title
	if s.Author != "" {
		name = s.Author + ", " + name
	}
	if s.Year != "" {
		name += " (" + s.Year + ")"
	}
	return name
}

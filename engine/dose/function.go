package dose

import (
	"math"
	"strconv"
	"strings"

	"tideline/rules/cond"
	"tideline/rules/vocab"
)

// A function is a computation, or one way of running it, as the conditions and settings of packs call it: numbers in, the
// main number out. What a computation tells besides (recipes, tables, pictures, a value in words) is had by name only.
type function struct {
	name, computation string
	value, unit       string // which value of the result, in which unit of conditions
	memory            bool   // the value is in no source that was opened
	slots             []slot
	// fixed are inputs that are the same in every call, as key=value; {name} in one stands for a slot's number.
	fixed []string
}

// slot is one parameter of a function: the inputs of the computation it is put into, all the same.
type slot struct {
	name, unit string
	steady     bool
	inputs     []string // none: its own name, or where {name} stands in a fixed input
	from, to   float64  // of one with no input of its own
	words      bool
}

// rises, num and word make slots: of an input in which the result is steady, of any other number, and of a word.
func rises(name, unit string, inputs ...string) slot {
	return slot{name: name, unit: unit, inputs: inputs, steady: true}
}

func number(name, unit string, inputs ...string) slot {
	return slot{name: name, unit: unit, inputs: inputs}
}

func word(name string) slot { return slot{name: name, words: true} }

// functions are in the order of the computations.
var functions = []function{
	{name: "stock_to_take", computation: "dilute", value: "stock_volume", unit: "mL", slots: []slot{number("stock", "w_v"), number("wanted", "w_v"), rises("volume", "mL")}},
	{name: "stock_to_weigh", computation: "dilute-mass", value: "first_mass", unit: "g", slots: []slot{number("first", "w_w"), number("wanted", "w_w"), number("mass", "g")}},
	{name: "blended_strength", computation: "blend-mass", value: "strength", unit: "w_w", slots: []slot{rises("first", "w_w"), rises("first_mass", "g"), rises("second_mass", "g")}},
	{
		name: "buffer_reagent", computation: "buffer", value: "reagent", unit: "g",
		slots: []slot{word("acid"), number("ph", "pH"), number("total", "mmol_L"), number("volume", "mL")},
	},
	{name: "buffer_ph", computation: "buffer-ph", value: "ph", unit: "pH", slots: []slot{word("acid"), number("acid_form", "mmol_L"), number("base_form", "mmol_L")}},
	{name: "chelator_ph", computation: "chelator", value: "ph", unit: "pH", slots: []slot{word("agent"), number("strength", "mmol_L")}, fixed: []string{"volume=1 L"}},
	{name: "chelator_mass", computation: "chelator", value: "mass", unit: "g", slots: []slot{word("agent"), number("strength", "mmol_L"), number("volume", "mL")}},
	{name: "standard_ph", computation: "ph-standard", value: "ph", unit: "pH", slots: []slot{word("buffer"), number("temperature", "degC")}},
	{name: "limewater_to_take", computation: "limewater", value: "limewater", unit: "mL", slots: []slot{rises("ph", "pH"), rises("volume", "mL")}},
	{name: "limewater_ph", computation: "limewater-ph", value: "ph", unit: "pH", slots: []slot{rises("strength", "mmol_L")}},
	{name: "water_ph", computation: "water-in-air", value: "ph", unit: "pH", slots: []slot{rises("co2", "ppm")}, fixed: []string{"calcite=no"}},
	{name: "chalk_water_ph", computation: "water-in-air", value: "ph", unit: "pH", slots: []slot{rises("co2", "ppm")}, fixed: []string{"calcite=yes"}},
	{name: "peroxide_volumes", computation: "peroxide", value: "volumes", unit: "volumes", slots: []slot{number("stock", "w_v")}},
	{name: "peroxide_to_take", computation: "peroxide", value: "stock_volume", unit: "mL", slots: []slot{number("stock", "w_v"), number("wanted", "w_v"), rises("volume", "mL")}},
	{name: "methanol_tension", computation: "surface-tension", value: "tension", unit: "mN_m", slots: []slot{rises("strength", "w_w"), rises("temperature", "degC")}, fixed: []string{"alcohol=methanol"}},
	{
		name: "ethanol_tension", computation: "surface-tension", value: "tension", unit: "mN_m", memory: true,
		slots: []slot{rises("strength", "w_w"), number("temperature", "degC")}, fixed: []string{"alcohol=ethanol"},
	},
	{name: "reserve_percent", computation: "alkali-reserve", value: "percent", unit: "percent", slots: []slot{number("reserve", "mmol_kg")}},
	{name: "reserve_titrated", computation: "reserve-titration", value: "percent", unit: "percent", slots: []slot{number("blank", "mL"), number("sample", "mL"), rises("base", "mmol_L"), rises("paper", "g")}},
	{name: "bath_reserve", computation: "reserve-from-bath", value: "percent", unit: "percent", slots: []slot{word("alkali"), number("strength", "mmol_L"), rises("uptake", "mL_g")}},
	{
		name: "bath_volume", computation: "bath-volume", value: "volume", unit: "mL",
		slots: []slot{rises("width", "mm"), rises("height", "mm"), number("sheets", ""), rises("grammage", "gsm"), rises("ratio", "mL_g")},
	},
	{
		name: "paper_mass", computation: "bath-volume", value: "paper", unit: "g", fixed: []string{"ratio=1 mL/g"},
		slots: []slot{rises("width", "mm"), rises("height", "mm"), rises("grammage", "gsm")},
	},
	{name: "tear_index", computation: "tear-index", value: "index", unit: "mN_m2_g", slots: []slot{rises("force", "mN"), rises("grammage", "gsm")}},
	{name: "irradiance_of_lux", computation: "lux-to-irradiance", value: "irradiance", unit: "W_m2", slots: []slot{word("white"), rises("lux", "lx")}},
	{name: "irradiance_of_diode", computation: "lux-to-irradiance", value: "irradiance", unit: "W_m2", slots: []slot{rises("lux", "lx"), number("peak", "nm")}},
	{
		name: "beam_irradiance", computation: "irradiance", value: "irradiance", unit: "W_m2", fixed: []string{"shape=beam"},
		slots: []slot{rises("power", "W"), number("distance", "mm"), number("size", "mm"), rises("angle", "deg")},
	},
	{
		name: "flat_irradiance", computation: "irradiance", value: "irradiance", unit: "W_m2", fixed: []string{"shape=flat"},
		slots: []slot{rises("power", "W"), number("distance", "mm"), number("size", "mm")},
	},
	{name: "light_dose", computation: "light-dose", value: "dose", unit: "J_cm2", slots: []slot{number("light", "W_m2"), rises("time", "s")}},
	{name: "light_sum", computation: "light-dose", value: "dose", unit: "lx_h", slots: []slot{number("light", "lx"), rises("time", "s")}},
	{name: "light_time", computation: "light-time", value: "time", unit: "s", slots: []slot{number("light", "W_m2"), number("dose", "J_cm2")}},
	{name: "light_sum_time", computation: "light-time", value: "time", unit: "s", slots: []slot{number("light", "lx"), number("dose", "lx_h")}},
	{
		name: "fading_used", computation: "fading", value: "used", unit: "percent", fixed: []string{"exposures={light} lx {time} s", "blue=no"},
		slots: []slot{{name: "light", unit: "lx", steady: true, from: 1, to: 1e6}, {name: "time", unit: "s", steady: true, from: 60, to: 3e8}, number("step", "")},
	},
	{
		name: "sheet_look_time", computation: "blue-limit", value: "time", unit: "s", fixed: []string{"look=sheet"},
		slots: []slot{number("irradiance", "W_m2"), number("peak", "nm")},
	},
	{name: "uva_time", computation: "uv-limit", value: "uva_time", unit: "s", slots: []slot{number("uva", "W_m2")}},
	{name: "dew_point", computation: "dew-point", value: "dew_point", unit: "degC", slots: []slot{rises("temperature", "degC"), rises("humidity", "percent")}},
	{name: "air_humidity", computation: "dew-point", value: "humidity", unit: "percent", slots: []slot{number("temperature", "degC"), number("dew_point", "degC")}},
	{name: "water_in_air", computation: "dew-point", value: "water", unit: "g_m3", slots: []slot{rises("temperature", "degC"), rises("humidity", "percent")}},
	{name: "salt_humidity", computation: "salt-chamber", value: "humidity", unit: "percent", slots: []slot{word("salt"), number("temperature", "degC")}},
	{name: "moisture_of", computation: "moisture", value: "moisture", unit: "percent", slots: []slot{number("now", "g"), number("dry", "g")}},
	{name: "growth_across", computation: "expansion", value: "across_high", unit: "mm", slots: []slot{word("paper"), rises("size", "mm", "across", "along")}},
	{name: "growth_along", computation: "expansion", value: "along_high", unit: "mm", slots: []slot{word("paper"), rises("size", "mm", "across", "along")}},
	{name: "growth_measured", computation: "expansion", value: "across_high", unit: "mm", slots: []slot{rises("size", "mm", "across", "along"), rises("measured", "percent")}},
	{name: "press_pressure", computation: "press", value: "pressure", unit: "kPa", slots: []slot{rises("mass", "g"), rises("area", "mm2")}},
	{name: "press_mass", computation: "press", value: "mass", unit: "g", slots: []slot{rises("pressure", "kPa"), rises("area", "mm2")}},
	{name: "sheet_pressure", computation: "press", value: "pressure", unit: "kPa", slots: []slot{rises("mass", "g"), rises("width", "mm"), rises("height", "mm")}},
	{name: "sheet_weight", computation: "press", value: "mass", unit: "g", slots: []slot{rises("pressure", "kPa"), rises("width", "mm"), rises("height", "mm")}},
	{name: "ageing_ratio", computation: "ageing", value: "ratio_high", unit: "", slots: []slot{rises("to", "degC")}},
	{name: "ageing_time", computation: "ageing", value: "equals_high", unit: "s", slots: []slot{rises("to", "degC"), rises("time", "s")}},
	{
		name: "cooling_time", computation: "cooling", value: "time", unit: "s",
		slots: []slot{number("start", "degC"), number("reading", "degC"), rises("after", "s"), number("room", "degC"), number("target", "degC")},
	},
	{
		name: "tissue_length", computation: "tears", value: "tissue_length", unit: "mm", fixed: []string{"tears=A: 0,0 {length},0", "grain=vertical"},
		slots: []slot{{name: "length", unit: "mm", steady: true, from: 1, to: 1000}},
	},
	{
		name: "tissue_area", computation: "tears", value: "tissue_area", unit: "mm2", fixed: []string{"tears=A: 0,0 {length},0", "grain=vertical"},
		slots: []slot{{name: "length", unit: "mm", steady: true, from: 1, to: 1000}, rises("width", "mm")},
	},
}

// Functions gives the computations that conditions and settings of packs may call, by the order of the computations.
func Functions() []*cond.Function {
	list := make([]*cond.Function, 0, len(functions))
	for _, f := range functions {
		list = append(list, f.offered())
	}
	return list
}

// ComputationOf gives the computation behind a function.
func ComputationOf(name string) (Computation, bool) {
	for _, f := range functions {
		if f.name == name {
			return Lookup(f.computation)
		}
	}
	return Computation{}, false
}

// Call runs the computation behind a function, and names the value that the function gives. Values are in the units of
// the function's parameters.
func Call(name string, values []vocab.Answer) (Result, Named, error) {
	for _, f := range functions {
		if f.name == name {
			return f.run(values)
		}
	}
	return Result{}, Named{}, &Refusal{What: Unknown, Given: name, Why: "there is no such function", Help: "The description of the pack language lists those there are."}
}

func (f function) offered() *cond.Function {
	c, _ := Lookup(f.computation)
	out := &cond.Function{Name: f.name, Says: c.Says, Unit: f.unit, Memory: f.memory}
	for _, s := range f.slots {
		out.Params = append(out.Params, f.param(c, s))
	}
	out.Allow = func(place int, v vocab.Answer) error {
		return f.allow(c, out.Params[place], f.slots[place].into()[0], v)
	}
	out.Do = func(values []vocab.Answer) (float64, error) {
		for i, v := range values {
			if err := out.Allow(i, v); err != nil {
				return 0, err
			}
		}
		_, named, err := f.run(values)
		if err != nil {
			return 0, err
		}
		q, _ := named.Quantity.In(unitOf(f.unit, named.Quantity.Unit.Kind))
		return q.Value, nil
	}
	return out
}

// param is a slot as conditions see it: its range is that of the input it is put into.
func (f function) param(c Computation, s slot) cond.Param {
	out := cond.Param{Name: s.name, Unit: s.unit, Steady: s.steady, From: s.from, To: s.to}
	p, ok := c.param(s.into()[0])
	if !ok {
		return out
	}
	if out.Says, out.Words = p.Says, p.Words; s.words {
		return out
	}
	if to := s.unitIn(p); to.Kind == p.Unit.Kind {
		out.From, out.To = to.fromBase(p.Unit.toBase(p.From)), to.fromBase(p.Unit.toBase(p.To))
	}
	return out
}

// into names the inputs that a slot is put into.
func (s slot) into() []string {
	if len(s.inputs) == 0 {
		return []string{s.name}
	}
	return s.inputs
}

// unitIn is the unit in which a slot gives its number to an input.
func (s slot) unitIn(p Param) Unit {
	for _, k := range append([]Kind{p.Unit.Kind}, p.Also...) {
		if u := unitOf(s.unit, k); u.Kind == k {
			return u
		}
	}
	return Unit{}
}

// unitOf is a unit of conditions as a unit of a kind; the zero unit where it measures another kind.
func unitOf(id string, k Kind) Unit {
	if id == "pH" {
		return unit(k, id)
	}
	return unit(k, strings.TrimSpace(vocab.Units[id]))
}

// allow refuses a number outside the range of a parameter. It has no slack: a condition must turn at one number.
func (f function) allow(c Computation, p cond.Param, input string, v vocab.Answer) error {
	if len(p.Words) > 0 || p.From == p.To || v.Num >= p.From && v.Num <= p.To {
		return nil
	}
	by := p.From - v.Num
	if v.Num > p.To {
		by = v.Num - p.To
	}
	in, known := c.param(input)
	if in.Source == "" || !known {
		in.Source = ownID
	}
	measure := vocab.Units[p.Unit]
	return &Refusal{
		What: OutOfRange, Computation: c.Name, Input: p.Name, Given: num(v.Num) + measure, Why: "it lies outside what the sum supports",
		Range: num(p.From) + " to " + num(p.To) + measure, By: num(by) + measure, Source: sourceTitle(in.Source),
		Help: "Nothing is computed beyond the range. Check the number and its unit.",
	}
}

// run runs the computation, and finds the value that the function gives.
func (f function) run(values []vocab.Answer) (Result, Named, error) {
	c, _ := Lookup(f.computation)
	a, err := f.args(c, values)
	if err != nil {
		return Result{}, Named{}, err
	}
	r, err := c.Run(a)
	if err != nil {
		return Result{}, Named{}, err
	}
	named, ok := r.Value(f.value)
	if !ok || named.Text != "" || math.IsInf(named.Quantity.Value, 0) {
		refusal := unsupported(f.value, "`tideline dose "+c.Name+"` tells what it says in words.", "for these numbers it gives no number")
		refusal.Computation = c.Name
		return Result{}, Named{}, refusal
	}
	return r, named, nil
}

// args puts the values into the inputs of the computation.
func (f function) args(c Computation, values []vocab.Answer) (Args, error) {
	a := Args{c.Name, map[string]value{}}
	for _, pair := range f.fixed {
		key, text, _ := strings.Cut(pair, "=")
		for i, s := range f.slots {
			text = strings.ReplaceAll(text, "{"+s.name+"}", strconv.FormatFloat(values[i].Num, 'f', -1, 64))
		}
		p, _ := c.param(key)
		v, err := p.read(text)
		if err != nil {
			return a, c.named(err, key)
		}
		a.values[key] = v
	}
	for i, s := range f.slots {
		for _, key := range s.into() {
			if p, ok := c.param(key); ok && s.words {
				a.values[key] = value{text: values[i].Word}
			} else if ok {
				a.values[key] = value{quantity: Quantity{Value: values[i].Num, Unit: s.unitIn(p)}}
			}
		}
	}
	return a, c.fill(a)
}

package ship

import (
	"example.org/headwatch/internal/ship/form"
	"example.org/headwatch/internal/units"
)

// The ranges are our own rule: generous for a tanker, narrow enough to find
// bar for MPa, mm for m and a lost digit.
var (
	shipLengthRange     = form.Between(units.Length, 20, 500, "m")
	heightRange         = form.Between(units.Length, -5, 60, "m") // above keel
	alongRange          = form.Between(units.Length, -20, 500, "m")
	boreRange           = form.Between(units.Length, 50, 1500, "mm")
	densityRange        = form.Between(units.Density, 400, 1200, "kg/m3")
	viscosityRange      = form.Between(units.Viscosity, 0.1, 5000, "cSt")
	temperatureRange    = form.Between(units.Temperature, -20, 200, "degC")
	speedRange          = form.Between(units.Speed, 50, 6000, "rpm")
	flowRange           = form.Between(units.Flow, 1, 30000, "m3/h")
	headRange           = form.Between(units.Length, 0.5, 1000, "m")
	ratedPowerRange     = form.Between(units.Power, 1, 20000, "kW")
	shareRange          = form.Between(units.Ratio, 0, 100, "%")
	smallShareRange     = form.Between(units.Ratio, 0, 10, "%")
	gaugeZeroRange      = form.Between(units.Pressure, -2, 2, "bar")
	gaugeEndRange       = form.Between(units.Pressure, -1.1, 100, "bar")
	shutTimeRange       = form.Between(units.Duration, 1, 3600, "s")
	shutHeatRange       = form.Between(units.TemperatureDifference, 0.5, 100, "K")
	casingRange         = form.Between(units.Volume, 0.01, 20, "m3")
	headMarginRange     = form.Between(units.Length, 0, 100, "m")
	rampTimeRange       = form.Between(units.Duration, 0, 600, "min")
	volumeRange         = form.Between(units.Volume, 0, 600000, "m3")
	manifoldLimitRange  = form.Between(units.Pressure, 0.5, 40, "bar")
	staticHeadRange     = form.Between(units.Length, -50, 200, "m")
	levelRiseRange      = form.Between(units.LengthRate, 0, 20, "m/h")
	lineLengthRange     = form.Between(units.Length, 10, 50000, "m")
	stopTimeRange       = form.Between(units.Duration, 0, 120, "min")
	ullagePressureRange = form.Between(units.Pressure, -500, 3000, "mmWG")
	vapourPressureRange = form.Between(units.Pressure, 0, 300, "kPa") // absolute
	readingsEveryRange  = form.Between(units.Duration, 1, 1440, "min")
	clauseHoursRange    = form.Between(units.Duration, 1, 1000, "h")

	// What the points of a curve may be.
	curveFlowRange       = form.Between(units.Flow, 0, 30000, "m3/h")
	curveHeadRange       = form.Between(units.Length, 0.1, 1000, "m")
	curvePressureRange   = form.Between(units.Pressure, 0.01, 100, "bar")
	curveEfficiencyRange = form.Between(units.Ratio, 0, 100, "%")
	curvePowerRange      = form.Between(units.Power, 0.1, 20000, "kW")
	curveNPSHRange       = form.Between(units.Length, 0, 100, "m")
)

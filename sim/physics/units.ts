// The units that gauges, books and deliveries are marked in, as SI. Imports nothing.
// NIST SP 811 (2008), Appendix B.8; columns of mercury and water are the conventional ones (mercury
// of 13 595.1 kg/m³, water of 1000 kg/m³, standard gravity).

const GALLON_M3 = 0.003785411784;
const INCH_M = 0.0254;
const POUND_FORCE_N = 0.45359237 * 9.80665;
const MM_MERCURY_PA = 13.5951 * 9.80665;

const pressure = (size: number) => ({ size, si: "Pa" }) as const;
const volume = (size: number) => ({ size, si: "m3" }) as const;
const flow = (size: number) => ({ size, si: "m3/s" }) as const;
const length = (size: number) => ({ size, si: "m" }) as const;

/** One of each unit in SI, and the SI unit. */
export const SI = {
	Pa: pressure(1),
	kPa: pressure(1000),
	mbar: pressure(100),
	bar: pressure(100_000),
	atm: pressure(101_325),
	psi: pressure(POUND_FORCE_N / INCH_M ** 2),
	inHg: pressure(25.4 * MM_MERCURY_PA),
	mmHg: pressure(MM_MERCURY_PA),
	mH2O: pressure(9806.65),
	inH2O: pressure(9806.65 * INCH_M),
	L: volume(0.001),
	"US gal": volume(GALLON_M3),
	"L/h": flow(0.001 / 3600),
	"L/min": flow(0.001 / 60),
	"US gal/h": flow(GALLON_M3 / 3600),
	"US gal/min": flow(GALLON_M3 / 60),
	ft: length(0.3048),
	in: length(INCH_M),
} as const;

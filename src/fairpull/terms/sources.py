"""Sources: every published work that a formula, limit or number rests on, by key.

``status`` says how far the source was verified: ``read`` (the text itself), ``second-hand`` (a reproduction),
``memory`` (not re-read), ``practice`` (common practice of the trade, no source).
"""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Source:
    """A published work or, where so marked, common practice."""

    key: str
    title: str
    status: str


def _table(*rows: tuple[str, str, str]) -> dict[str, Source]:
    return {key: Source(key, title, status) for key, title, status in rows}


SOURCES: dict[str, Source] = _table(
    ("practice", "Common practice of the trade, no source", "practice"),
    ("sp811", "NIST Special Publication 811, Guide for the Use of the SI, Appendix B", "second-hand"),
    (
        "lan-demets-1983",
        "Lan and DeMets (1983), Discrete sequential boundaries for clinical trials, Biometrika 70(3)",
        "memory",
    ),
    ("iso5725", "ISO 5725, Accuracy (trueness and precision) of measurement methods and results", "memory"),
    (
        "rasmussen-williams",
        "Rasmussen and Williams (2006), Gaussian Processes for Machine Learning",
        "memory",
    ),
    ("40cfr1065", "40 CFR part 1065, Engine-testing procedures", "read"),
    ("40cfr86", "40 CFR 86.344-79, Humidity calculations", "read"),
    ("ashrae-2017", "ASHRAE Handbook, Fundamentals (2017), chapter 1, Psychrometrics", "second-hand"),
    ("ferrel", "Ferrel's psychrometer equation", "memory"),
    (
        "iso-2533",
        "ISO 2533, Standard atmosphere (table of the same atmosphere read in the ICAO document)",
        "second-hand",
    ),
    (
        "cipm-2007",
        "Picard and others (2008), Revised formula for the density of moist air (CIPM-2007), Metrologia 45",
        "memory",
    ),
    ("sae-j1349", "SAE J1349, Engine power test code, net power, text of June 1990", "second-hand"),
    ("sae-j607", "SAE J607, small-engine test code, the old standard day", "second-hand"),
    ("friction-table", "Friction torque by piston speed, one public post of 1995", "second-hand"),
    ("iso-1585", "ISO 1585, Road vehicles, engine test code, net power", "second-hand"),
    ("un-r85", "UN Regulation 85, annex 5 (paragraph 5.4.2.2 second-hand, limits from memory)", "second-hand"),
    ("grpe-70-02", "UNECE GRPE-70-02 (2015), proposal for supplement 7 to Regulation 85 (its summary)", "read"),
    ("jis-d1001", "JIS D 1001:1993, Road vehicles, engine power test code (scope read, factor from memory)", "memory"),
    ("din-70020", "DIN 70020, automotive engineering, power", "second-hand"),
    ("eec-80-1269", "Council Directive 80/1269/EEC, form of 1980 (factor from memory, see workshop-sheet)", "memory"),
    (
        "workshop-sheet",
        "A carmaker's workshop sheet of power-correction factors, reference 990 hPa and 25 degrees C",
        "read",
    ),
    ("iso-3046", "ISO 3046-1, Reciprocating internal combustion engines, performance", "second-hand"),
    ("iso-15550", "ISO 15550, Internal combustion engines, determination of power", "second-hand"),
    (
        "textbook-27",
        "An engine textbook, chapter 27, worked examples of ISO 3046 (public reproduction)",
        "second-hand",
    ),
    ("doe-fuels", "US Department of Energy, Alternative Fuels Data Center, fuel properties table", "read"),
    ("heywood", "Heywood (1988), Internal Combustion Engine Fundamentals", "memory"),
    (
        "cleveland-1979",
        "Cleveland (1979), Robust locally weighted regression and smoothing scatterplots, JASA 74",
        "memory",
    ),
    ("fan-gijbels-1996", "Fan and Gijbels (1996), Local Polynomial Modelling and Its Applications, ch. 3", "memory"),
    (
        "gasser-1986",
        "Gasser, Sroka, Jennen-Steinmetz (1986), Residual variance and residual pattern, Biometrika 73(3)",
        "memory",
    ),
    ("gum", "JCGM 100:2008, Guide to the expression of uncertainty in measurement, annex H", "second-hand"),
    ("hampel-1974", "Hampel (1974), The influence curve and its role in robust estimation, JASA 69", "memory"),
    (
        "newey-west-1987",
        "Newey and West (1987), A simple positive semi-definite covariance matrix, Econometrica 55(3)",
        "memory",
    ),
    ("nist-strd", "NIST Statistical Reference Datasets, linear regression", "read"),
    (
        "opsomer-2001",
        "Opsomer, Wang, Yang (2001), Nonparametric regression with correlated errors, Stat. Sci. 16(2)",
        "memory",
    ),
    (
        "savitzky-golay-1964",
        "Savitzky and Golay (1964), Smoothing and differentiation of data, Anal. Chem. 36(8)",
        "memory",
    ),
    (
        "schmeiser-1982",
        "Schmeiser (1982), Batch size effects in the analysis of simulation output, Oper. Res. 30(3)",
        "memory",
    ),
    ("un-gtr-linearity", "UN global technical regulation, linearity requirements of instruments, table 7", "read"),
    ("whittle-1953", "Whittle (1953), Estimation and information in stationary time series, Ark. Mat. 2", "memory"),
    ("head-flow-rule", "A trade calculator page: power ceiling from intake flow at 28 inH2O", "second-hand"),
    (
        "header-length-rule",
        "A trade calculator page crediting Bell: primary length from exhaust opening and speed",
        "second-hand",
    ),
    ("header-area-rule", "A trade magazine: primary area from speed of peak torque and cylinder size", "second-hand"),
    ("runner-rule", "Trade calculator pages: intake runner as a quarter wave", "second-hand"),
    (
        "chaloner-verdinelli-1995",
        "Chaloner and Verdinelli (1995), Bayesian experimental design, Stat. Sci. 10",
        "memory",
    ),
    ("abramowitz-stegun", "Abramowitz and Stegun (1964), Handbook of Mathematical Functions", "memory"),
    ("40cfr1039", "40 CFR part 1039, appendix II (C1: former appendix IV), duty cycles, reproduced", "second-hand"),
    ("40cfr1042", "40 CFR part 1042, appendix II, steady-state duty cycles, public reproduction", "second-hand"),
    ("40cfr1045", "40 CFR part 1045, appendix II, marine propulsion duty cycles, reproduced", "second-hand"),
    ("40cfr1065-610", "40 CFR 1065.610, Duty cycle generation, intermediate test speed", "memory"),
    ("dersimonian-laird-1986", "DerSimonian and Laird (1986), Meta-analysis in clinical trials, CCT 7", "memory"),
    ("paule-mandel-1982", "Paule and Mandel (1982), Consensus values and weighting factors, J. Res. NBS 87", "memory"),
    (
        "viechtbauer-2005",
        "Viechtbauer (2005), Bias and efficiency of meta-analytic variance estimators, J. Educ. Behav. Stat. 30",
        "memory",
    ),
    ("viechtbauer-2010", "Viechtbauer (2010), Conducting meta-analyses in R, J. Stat. Softw. 36(3)", "second-hand"),
    ("colditz-1994", "Colditz and others (1994), Efficacy of BCG vaccine, JAMA 271 (data, reproduced)", "second-hand"),
    (
        "hartung-knapp-2001",
        "Hartung and Knapp (2001), On tests of the overall treatment effect, Stat. Med. 20",
        "memory",
    ),
    (
        "rover-2015",
        "Roever, Knapp, Friede (2015), Hartung-Knapp-Sidik-Jonkman approach and its modification, BMC MRM (abstract)",
        "read",
    ),
    ("higgins-thompson-2002", "Higgins and Thompson (2002), Quantifying heterogeneity, Stat. Med. 21", "memory"),
    ("higgins-2009", "Higgins, Thompson, Spiegelhalter (2009), Re-evaluation of random effects, JRSS A 172", "memory"),
)

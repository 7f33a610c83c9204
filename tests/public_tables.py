"""The tables of vital signs in ../shared/data, with the mapping of those whose names need one."""

# By file: its mapping, where its names need one.
SETS = {
    "crash2-trauma.csv": "",
    "nhanes-2009-2012.csv": "",
    "icu-2012.csv": """
[signs]
NISysABP = { sign = "systolic" }
NIDiasABP = { sign = "diastolic" }
NIMAP = { sign = "mean_pressure" }
MAP = { is = "ignored" }
""",
    "cdisc-pilot-vital-signs.csv": """
[columns]
USUBJID = { is = "report" }
VSTESTCD = { is = "sign_name" }
VSORRES = { is = "value" }
VSORRESU = { is = "value_unit" }
VSDTC = { is = "time" }
""",
    "cdisc-pilot-glucose.csv": """
[columns]
USUBJID = { is = "report" }
LBORRES = { sign = "glucose", unit = "mg/dL" }
LBDTC = { is = "time" }
""",
    # One patient's monitor, with an arterial line and a cuff side by side: two sets a row.
    "monitor-numerics.csv": """
report = { value = "s00001/3975656n" }
[columns]
minute = { is = "ignored" }
ABPSys = { sign = "systolic", unit = "mmHg", set = 1 }
ABPDias = { sign = "diastolic", unit = "mmHg", set = 1 }
ABPMean = { sign = "mean_pressure", unit = "mmHg", set = 1 }
NBPSys = { sign = "systolic", unit = "mmHg", set = 2 }
NBPDias = { sign = "diastolic", unit = "mmHg", set = 2 }
NBPMean = { sign = "mean_pressure", unit = "mmHg", set = 2 }
""",
    # A row is one reading of one of the three. Which of them `meth` says, by J, R and S; a mapping
    # says what columns are, not what words in them mean, so it cannot make a method of these.
    "systolic-two-observers-and-machine.csv": """
[columns]
item = { is = "report" }
y = { sign = "systolic", unit = "mmHg" }
meth = { is = "ignored" }
""",
}

"""Sentences from outside, with what they are known to say."""

# Handbook case N-01: NMEA 0183 sentences as quoted in public parser tests and documents (RMC and GLL also in
# the tests of pynmea2). The checksums were worked again; two of the quoted ones are errata of their sources.
HANDBOOK_N01 = {
    b"$HCHDG,98.3,0.0,E,12.6,W*57": True,
    b"$HCHDG,101.1,,,7.1,W*3C": True,
    b"$HCHDM,172.5,M*28": True,
    b"$IIHDT,91.8,T*12": True,
    b"$VWVHW,45.0,T,40.4,M,6.2,N,11.5,K*64": True,
    b"$VWVLW,2.8,N,2.8,N*4C": True,
    b"$GPRMC,225446,A,4916.45,N,12311.12,W,000.5,054.7,191194,020.3,E*68": True,
    b"$GPGLL,4916.45,N,12311.12,W,225444,A,*1D": True,
    b"$HCHDM,238.5,M*29": False,  # right: 25
    b"$HCHDT,202.5,T*26": False,  # right: 2C
}
"""Each sentence with whether its checksum is right."""

# What an estimated-position source sends (talker IN; the wording follows IEC 61162-1's field lists, checksums
# worked): nothing of it may ever be heard as a satellite position or a heading.
RECKONED_OUTPUT = (
    b"$INGLL,5008.4300,N,00518.2600,W,142536.00,V,E*7D",
    b"$INRMC,142536.00,V,5008.4300,N,00518.2600,W,4.8,078.5,250626,2.1,W,E,V*49",
    b"$INGGA,142536.00,5008.4300,N,00518.2600,W,6,00,,,M,,M,,*72",
    b"$INVTG,078.5,T,080.6,M,4.8,N,8.9,K,E*3E",
    b"$INHDT,075.2,T*25",
    b"$INTHS,075.2,A*27",
    b"$INTHS,075.2,E*23",
    b"$INVDR,110.0,T,112.1,M,0.7,N*3A",
    b"$INOSD,075.2,A,078.5,W,4.8,W,110.0,0.7,N*53",
    b"$INNSR,D,A,D,A,D,A,F,V,N,N,W,P,A*37",
    b"$INTXT,01,01,41,DR ONLY - NOT A SATELLITE FIX*6D",
    b"$INGLL,,,,,142536.00,V,N*5D",
    b"$INALF,1,1,0,142536.00,B,W,V,,10241,1,1,0,DR GNSS DIFFER*39",
    b"$INALF,2,1,3,142536.00,B,W,V,XYZ,10241,1,1,0,DR GNSS DIFFER*62",
    b"$INALF,2,2,3,,,,,XYZ,10241,1,1,0,OFFSET 0.9NM TOWARDS 214T LIMIT 0.5NM*51",
    b"$INALF,1,1,5,142602.00,B,W,A,XYZ,10241,1,2,0,DR GNSS DIFFER*77",
    b"$INALF,1,1,6,143110.00,,,N,XYZ,10241,1,4,0,DR GNSS DIFFER*6D",
    b"$INALC,01,01,07,1,XYZ,10241,1,1*12",
    b"$INALC,01,01,08,0*71",
    b"$INARC,142602.00,XYZ,10241,2,A*48",
    b"$INHBT,30,A,3*04",
    b"$INALR,142536.00,241,A,V,DR GNSS DIFFER*78",
    b"\\s:DR0001,c:1782397536*2A\\$INGLL,5008.4300,N,00518.2600,W,142536.00,V,E*7D",
)

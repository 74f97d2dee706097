// A place in UTM and in MGRS, on the WGS 84 ellipsoid.
// Transverse Mercator by Krüger's series to n³ (a millimetre within a zone); zones and letters as
// NGA.SIG.0012 has them. Outside 80° S to 84° N there is no UTM, and nothing is said.
function gridTexts(latitude, longitude) {
  if (latitude < -80 || latitude >= 84) return [];
  let zone = Math.min(Math.floor((longitude + 180) / 6), 59) + 1;
  if (latitude >= 56 && latitude < 64 && longitude >= 3 && longitude < 12) zone = 32;
  if (latitude >= 72 && longitude >= 0 && longitude < 42)
    zone = longitude < 9 ? 31 : longitude < 21 ? 33 : longitude < 33 ? 35 : 37;
  const f = 1 / 298.257223563, n = f / (2 - f), k = 0.9996;
  const A = (6378137 / (1 + n)) * (1 + n ** 2 / 4 + n ** 4 / 64);
  const alpha = [n / 2 - (2 * n ** 2) / 3 + (5 * n ** 3) / 16,
    (13 * n ** 2) / 48 - (3 * n ** 3) / 5, (61 * n ** 3) / 240];
  const phi = (latitude * Math.PI) / 180;
  const away = ((longitude - (zone * 6 - 183)) * Math.PI) / 180;
  const e = (2 * Math.sqrt(n)) / (1 + n), s = Math.sin(phi);
  const t = Math.sinh(Math.atanh(s) - e * Math.atanh(e * s));
  const xi = Math.atan2(t, Math.cos(away));
  const eta = Math.atanh(Math.sin(away) / Math.hypot(1, t));
  let east = eta, north = xi;
  alpha.forEach((a, i) => {
    const j = 2 * (i + 1);
    east += a * Math.cos(j * xi) * Math.sinh(j * eta);
    north += a * Math.sin(j * xi) * Math.cosh(j * eta);
  });
  east = 500000 + k * A * east;
  north = k * A * north + (latitude < 0 ? 1e7 : 0);
  const band = "CDEFGHJKLMNPQRSTUVWX"[Math.min(Math.floor((latitude + 80) / 8), 19)];
  const column = "ABCDEFGHJKLMNPQRSTUVWXYZ"[((zone - 1) % 3) * 8 + Math.floor(east / 1e5) - 1];
  const row = "ABCDEFGHJKLMNPQRSTUV"[(Math.floor(north / 1e5) + (zone % 2 ? 0 : 5)) % 20];
  const five = (metres) => String(Math.floor(metres % 1e5)).padStart(5, "0");
  return [
    `${zone}${band} ${Math.round(east)} ${Math.round(north)}`,
    `${zone}${band} ${column}${row} ${five(east)} ${five(north)}`,
  ];
}

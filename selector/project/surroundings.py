"""What surrounds a row: its zone, how long it is and how it lies."""

import numpy as np

from selector.catalogue.arrays import floats
from selector.project.declarations import WITHOUT_LEAD
from selector.project.filling import Filling
from selector.project.values import NAN, YES, fold, or_nan, shown

ZONE_FLAGS = ("enclosed", "engine_space", "wet", "oil", "fuel_vapour", "sun", "vibrates")


class Surroundings(Filling):
    """Columns of the zone, of the length and of the laying."""

    def _zones(self):
        frame = self.project.frames["zones.csv"]
        data = frame.data
        known = {fold(key): i for i, key in enumerate(data["zone"]) if key}
        zone = self.resolve("zone", known, "zone")
        count = data.height

        def of_zone(name):
            low = np.append(floats(data[name]), NAN)
            high = np.append(floats(data[f"{name}__high"]), NAN)
            at = np.where(zone < 0, count, zone)
            return low[at], high[at]

        def flag_of_zone(name):
            values = np.array([YES.get(v, NAN) for v in data[name]] + [NAN])
            return values[np.where(zone < 0, count, zone)]

        for name in ZONE_FLAGS:
            what = name.replace("_", " ")
            values = flag_of_zone(name)
            missing = np.isnan(values)
            self.default(
                what, self.settings.values[what], "", "zones.csv", missing, self.settings.questions.get(what, "")
            )
            self.put(name, np.where(missing, self.settings.flag(what), values))
        low, high = of_zone("ambient_k")
        engine = self.columns["engine_space"] == 1
        low, high = self.fill(low, high, "engine space ambient", engine)
        self.put("ambient_k", *self.fill(low, high, "ambient"))
        self.put("coldest_k", *self.fill(*of_zone("coldest_k"), "coldest"))
        self.put("air_speed_m_per_s", *self.fill(*of_zone("air_speed_m_per_s"), "air speed"))
        self.put("altitude_m", *self.fill(*of_zone("altitude_m"), "altitude"))

    def _lengths(self):
        length = self.number("length_m")
        self.put("length_m", *length)
        returns = self.text("return")
        control, phase = self.is_kind("control wire"), self.is_kind("phase lead")
        lead = ~self.is_kind(*WITHOUT_LEAD)
        stated = np.array([value is not None for value in returns], dtype=bool)
        shape = []
        for row, value in enumerate(returns):
            if value is None:
                own = "control wire return" if control[row] else "cable return"
                alone = self.is_return[row] or phase[row] or not lead[row]
                value = "single" if alone else self.settings.values[own]
            shape.append(value)
        for what, mask in (("cable return", lead & ~control & ~phase), ("control wire return", control)):
            self.default(what, self.settings.values[what], "", "connections.csv", ~stated & mask & ~self.is_return,
                         self.settings.questions.get(what, ""))  # fmt: skip
        self.put("legs", [2.0 if value == "pair" else 1.0 for value in shape])
        chassis = np.array([value == "chassis" for value in shape])
        self.put("chassis", chassis * 1.0)
        resistance = self.settings.number("chassis resistance")
        if chassis.any() and np.isnan(resistance):
            self.questions.setdefault("chassis resistance", []).extend(np.flatnonzero(chassis).tolist())
        self.put("chassis_resistance_ohm", np.where(chassis, resistance, 0.0))
        grouped = self.number("grouped_with")
        low, high = self.fill(*grouped, "control wire grouped with", control)
        low, high = self.fill(low, high, "phase lead grouped with", phase)
        low, high = self.fill(low, high, "cable grouped with", lead)
        low, high = np.where(lead, low, 0.0), np.where(lead, high, 0.0)
        self.put("grouped_with", low, high)
        laid = self.text("laid")
        apart = self.settings.values["laid when grouped with none"]
        words = [w or (apart if g == 0 else self.settings.values["laid"]) for w, g in zip(laid, high, strict=True)]
        empty = np.array([value is None for value in laid]) & lead
        self.default(
            "laid",
            self.settings.values["laid"],
            "",
            "connections.csv",
            empty & (high > 0),
            self.settings.questions["laid"],
        )
        self.default("laid", apart, "", "connections.csv", empty & (high == 0), self.settings.questions["laid"])
        factors = {row["laying"]: or_nan(row["factor"]) for row in self.catalogue.rows("laying_factors.csv")}
        self.put("laying_factor", [factors.get(word, NAN) for word in words])
        self.put("touches_any", (high >= 1) * 1.0)
        self.put("touches_others", (high >= np.where(phase, 3, 2)) * 1.0)  # its own circuit's are of its own kind
        self.put("neighbour_rating_k", np.full(self.count, self.settings.number("neighbour rating")))
        self.default("neighbour rating", shown(self.settings.number("neighbour rating"), "degC"), "degC", "settings.csv",
                     self.columns["touches_others"] == 1, self.settings.questions.get("neighbour rating", ""))  # fmt: skip
        self.put("cool_place", 1.0 - self.columns["engine_space"])
        self.put("hot_wire_limit_k", np.full(self.count, self.settings.number("warm wire notice")))

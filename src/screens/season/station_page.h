// SPDX-License-Identifier: Apache-2.0
//
// A station's file that was picked: which column is which, what it leaves open, and its days to be
// kept. Private to this folder.
//
//   if (!frame.session.station.text.empty()) station_file(frame);
#pragma once

#include <cstdint>
#include <string>

#include "screens/parts/form.h"
#include "screens/parts/frame.h"

namespace nthtree::screens {

// The page in place of the screen it was picked on; its bottom action keeps the days.
void draw_station_file(Frame& frame);

// What the farm calls the station, `in_file` where the file says; one name is one place, so another
// name than the one held is asked about.
std::string asked_station_name(Frame& frame, Form& form, const std::string& in_file);

// "2026-03-28" of days since 1970-01-01.
std::string iso_day(std::int64_t day);

// A temperature of °C in the farm's own unit, without it; and the unit.
double shown_degrees(const Frame& frame, double celsius);
const char* degree_unit(const Frame& frame);
double typed_celsius(const Frame& frame, double shown);

}  // namespace nthtree::screens

// SPDX-License-Identifier: Apache-2.0
#include "base/text.h"

#include <chrono>
#include <cmath>
#include <cstdarg>
#include <cstdio>
#include <cstdlib>

namespace nthtree::base {

std::string print(const char* format, ...) {
  va_list arguments;
  va_start(arguments, format);
  va_list again;
  va_copy(again, arguments);
  const int length = std::vsnprintf(nullptr, 0, format, arguments);
  va_end(arguments);
  std::string text(length > 0 ? static_cast<std::size_t>(length) : 0, '\0');
  if (length > 0) std::vsnprintf(text.data(), text.size() + 1, format, again);
  va_end(again);
  return text;
}

std::string shortest(double value) {
  if (!std::isfinite(value)) return "null";
  for (int digits = 15; digits <= 17; ++digits) {
    std::string text = print("%.*g", digits, value);
    if (std::strtod(text.c_str(), nullptr) == value) return text;
  }
  return print("%.17g", value);
}

bool is_utf8(std::string_view bytes) {
  const auto at = [&](std::size_t i) { return static_cast<unsigned char>(bytes[i]); };
  for (std::size_t i = 0; i < bytes.size();) {
    const unsigned lead = at(i);
    const std::size_t length = lead < 0x80 ? 1 : lead >= 0xc2 && lead < 0xe0 ? 2
                             : (lead & 0xf0) == 0xe0 ? 3 : lead >= 0xf0 && lead < 0xf5 ? 4 : 0;
    if (length == 0 || i + length > bytes.size()) return false;
    for (std::size_t k = 1; k < length; ++k) {
      if ((at(i + k) & 0xc0) != 0x80) return false;
    }
    const unsigned second = length > 1 ? at(i + 1) : 0;
    if (lead == 0xe0 && second < 0xa0) return false;   // overlong
    if (lead == 0xed && second >= 0xa0) return false;  // surrogate
    if (lead == 0xf0 && second < 0x90) return false;   // overlong
    if (lead == 0xf4 && second >= 0x90) return false;  // past U+10FFFF
    i += length;
  }
  return true;
}

std::string_view take_line(std::string_view& text) {
  const std::string_view line = text.substr(0, text.find('\n'));
  text.remove_prefix(line.size() < text.size() ? line.size() + 1 : text.size());
  return line;
}

std::string iso_minute(std::int64_t wall_ms) {
  using namespace std::chrono;
  const sys_time<milliseconds> moment{milliseconds(wall_ms)};
  const auto day = floor<days>(moment);
  const year_month_day date(day);
  const auto minute = duration_cast<minutes>(moment - day).count();
  return print("%04d-%02u-%02uT%02d:%02d", static_cast<int>(date.year()),
               static_cast<unsigned>(date.month()), static_cast<unsigned>(date.day()),
               static_cast<int>(minute / 60), static_cast<int>(minute % 60));
}

namespace {

// Reads `width` digits at `from`; -1 where there are none.
int digits(std::string_view text, std::size_t from, std::size_t width) {
  if (from + width > text.size()) return -1;
  int value = 0;
  for (std::size_t i = from; i < from + width; ++i) {
    if (text[i] < '0' || text[i] > '9') return -1;
    value = value * 10 + (text[i] - '0');
  }
  return value;
}

}  // namespace

bool parse_iso(std::string_view text, std::int64_t& wall_ms) {
  using namespace std::chrono;
  if (!text.empty() && text.back() == 'Z') text.remove_suffix(1);
  const std::size_t n = text.size();
  if (n != 10 && n != 16 && n != 19) return false;
  if (text[4] != '-' || text[7] != '-') return false;
  const int y = digits(text, 0, 4), m = digits(text, 5, 2), d = digits(text, 8, 2);
  if (y < 0 || m < 1 || d < 1) return false;
  const year_month_day date{year(y), month(static_cast<unsigned>(m)),
                            day(static_cast<unsigned>(d))};
  if (!date.ok()) return false;
  int hour = 0, minute = 0, second = 0;
  if (n >= 16) {
    if (text[10] != 'T' || text[13] != ':') return false;
    hour = digits(text, 11, 2);
    minute = digits(text, 14, 2);
  }
  if (n == 19) {
    if (text[16] != ':') return false;
    second = digits(text, 17, 2);
  }
  if (hour < 0 || hour > 23 || minute < 0 || minute > 59 || second < 0 || second > 59) return false;
  const auto moment = sys_days(date) + hours(hour) + minutes(minute) + seconds(second);
  wall_ms = duration_cast<milliseconds>(moment.time_since_epoch()).count();
  return true;
}

}  // namespace nthtree::base

// SPDX-License-Identifier: Apache-2.0
#include "base/text.h"

#include <chrono>
#include <cmath>
#include <cstdarg>
#include <cstdio>
#include <cstdlib>
#include <utility>

#include "base/decimal.h"

namespace nthtree::base {
namespace {

// Whole numbers, texts and "%.2f" of ordinary numbers, which is nearly all that is ever printed; a
// phone fetches the C library's large function for the rest with the app's last part.
class QuickPrint {
 public:
  explicit QuickPrint(va_list arguments) { va_copy(arguments_, arguments); }
  ~QuickPrint() { va_end(arguments_); }
  QuickPrint(const QuickPrint&) = delete;
  QuickPrint& operator=(const QuickPrint&) = delete;

  // False where the format asks for something else.
  bool write(const char* format) {
    for (; *format != '\0'; ++format) {
      if (*format != '%') {
        text_ += *format;
      } else if (!take_one(++format)) {
        return false;
      }
    }
    return true;
  }
  std::string& text() { return text_; }

 private:
  // Leaves `at` on the letter that ends it.
  bool take_one(const char*& at) {
    width_ = 0;
    if (*at == '0') {
      for (++at; *at >= '0' && *at <= '9'; ++at) width_ = width_ * 10 + (*at - '0');
      if (width_ == 0) return false;
    }
    if (*at == '.') return take_decimals(++at);
    int longs = 0;
    for (; *at == 'l'; ++at) ++longs;
    const bool is_size = *at == 'z';
    if (is_size) ++at;
    const bool is_wide =
        is_size ? sizeof(std::size_t) == 8 : longs == 2 || (longs == 1 && sizeof(long) == 8);
    if (*at == 'd') {
      const std::int64_t value =
          is_wide ? va_arg(arguments_, std::int64_t) : va_arg(arguments_, int);
      const auto size = static_cast<std::uint64_t>(value);
      put_whole(value < 0, value < 0 ? 0 - size : size, 10);
      return true;
    }
    if (*at == 'u' || *at == 'x') {
      const std::uint64_t value =
          is_wide ? va_arg(arguments_, std::uint64_t) : va_arg(arguments_, unsigned);
      put_whole(false, value, *at == 'x' ? 16 : 10);
      return true;
    }
    if (longs > 0 || is_size || width_ > 0) return false;
    if (*at == 's') text_ += va_arg(arguments_, const char*);
    if (*at == 'c') text_ += static_cast<char>(va_arg(arguments_, int));
    if (*at == '%') text_ += '%';
    return *at == 's' || *at == 'c' || *at == '%';
  }

  bool take_decimals(const char*& at) {
    int decimals = 0;
    if (*at == '*') {
      decimals = va_arg(arguments_, int);
      ++at;
    } else {
      for (; *at >= '0' && *at <= '9'; ++at) decimals = decimals * 10 + (*at - '0');
    }
    if (*at != 'f' || width_ > 0) return false;
    const auto number = quick_fixed(va_arg(arguments_, double), decimals);
    if (number) text_ += *number;
    return number.has_value();
  }

  void put_whole(bool is_negative, std::uint64_t size, int base) {
    char digits[24];
    char* const end = std::to_chars(digits, digits + sizeof digits, size, base).ptr;
    if (is_negative) text_ += '-';
    const long missing = width_ - (end - digits) - is_negative;
    if (missing > 0) text_.append(static_cast<std::size_t>(missing), '0');
    text_.append(digits, end);
  }

  va_list arguments_;
  std::string text_;
  int width_ = 0;
};

}  // namespace

std::string print(const char* format, ...) {
  va_list arguments;
  va_start(arguments, format);
  QuickPrint quick(arguments);
  if (quick.write(format)) {
    va_end(arguments);
    return std::move(quick.text());
  }
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
  if (auto text = quick_shortest(value)) return std::move(*text);
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

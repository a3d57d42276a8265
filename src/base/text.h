// SPDX-License-Identifier: Apache-2.0
//
// Numbers as text and text checks that the standard libraries of both toolchains lack
// (no std::format, no to_chars(double) in the WebAssembly one).
#pragma once

#include <charconv>
#include <cstdint>
#include <string>
#include <string_view>
#include <system_error>

namespace nthtree::base {

// U+FEFF, which editors on Windows write before a text.
inline constexpr std::string_view byte_order_mark = "\xef\xbb\xbf";

// printf-style into a string; the format is checked by the compiler.
std::string print(const char* format, ...) __attribute__((format(printf, 1, 2)));

// The shortest decimal text that reads back as the same double; "null" for a value that is not
// finite, because JSON has no other word for it.
std::string shortest(double value);

// Takes the first line off a text and returns it without its line break, which the last one need
// not have. Empty where the text is.
std::string_view take_line(std::string_view& text);

// True where the bytes are well-formed UTF-8 (RFC 3629: no surrogates, no overlong forms).
bool is_utf8(std::string_view bytes);

// Takes a whole decimal number, "7" or "-3", from the front of `rest`. False where none stands
// there or it does not fit into `number`; both stay as they were then.
template <typename Number>
bool take_number(std::string_view& rest, Number& number) {
  const auto [end, error] = std::from_chars(rest.data(), rest.data() + rest.size(), number);
  if (error != std::errc()) return false;
  rest.remove_prefix(static_cast<std::size_t>(end - rest.data()));
  return true;
}

// Takes `text` from the front of `rest`; false, and nothing taken, where it does not stand there.
inline bool take_text(std::string_view& rest, std::string_view text) {
  if (rest.substr(0, text.size()) != text) return false;
  rest.remove_prefix(text.size());
  return true;
}

// "2026-02-03T07:15" in UTC for milliseconds since 1970-01-01; proleptic Gregorian calendar.
std::string iso_minute(std::int64_t wall_ms);

// The reverse of iso_minute, also for "2026-02-03" and with ":SS" and a closing "Z".
// False where the text is not of that form or names a day that does not exist.
bool parse_iso(std::string_view text, std::int64_t& wall_ms);

}  // namespace nthtree::base

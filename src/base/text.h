// SPDX-License-Identifier: Apache-2.0
//
// Numbers as text and text checks that the standard libraries of both toolchains lack
// (no std::format, no to_chars(double) in the WebAssembly one).
#pragma once

#include <cstdint>
#include <string>
#include <string_view>

namespace nthtree::base {

// U+FEFF, which editors on Windows write before a text.
inline constexpr std::string_view byte_order_mark = "\xef\xbb\xbf";

// printf-style into a string; the format is checked by the compiler.
std::string print(const char* format, ...) __attribute__((format(printf, 1, 2)));

// The shortest decimal text that reads back as the same double; "null" for a value that is not
// finite, because JSON has no other word for it.
std::string shortest(double value);

// True where the bytes are well-formed UTF-8 (RFC 3629: no surrogates, no overlong forms).
bool is_utf8(std::string_view bytes);

// "2026-02-03T07:15" in UTC for milliseconds since 1970-01-01; proleptic Gregorian calendar.
std::string iso_minute(std::int64_t wall_ms);

// The reverse of iso_minute, also for "2026-02-03" and with ":SS" and a closing "Z".
// False where the text is not of that form or names a day that does not exist.
bool parse_iso(std::string_view text, std::int64_t& wall_ms);

}  // namespace nthtree::base

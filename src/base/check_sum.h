// SPDX-License-Identifier: Apache-2.0
//
// CRC-32/ISO-HDLC, the check sum of zip and PNG: tells a damaged text from a whole one. It is no
// signature and keeps out no one who means harm. Polynomial and check value (cbf43926 for
// "123456789"): RFC 1952, section 8, and the PNG specification, annex D.
//
//   base::crc32("123456789") == 0xcbf43926
#pragma once

#include <cstddef>
#include <cstdint>
#include <string>
#include <string_view>

namespace nthtree::base {

// before: of the bytes that came before these; 0 at the beginning.
std::uint32_t crc32(std::string_view bytes, std::uint32_t before = 0);
// The same in eight hexadecimal digits.
inline constexpr std::size_t crc32_digits = 8;
std::string crc32_text(std::string_view bytes);

}  // namespace nthtree::base

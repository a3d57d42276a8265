// SPDX-License-Identifier: Apache-2.0
#include "hub/secret.h"

#include <sys/random.h>

#include "base/result.h"

namespace nthtree::hub {
namespace {

constexpr std::string_view code_letters = "0123456789ABCDEFGHJKMNPQRSTVWXYZ";
constexpr std::string_view text_letters =
    "ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789-_";

}  // namespace

void random_bytes(void* to, std::size_t bytes) {
  // getrandom gives up to 256 bytes whole once the kernel is seeded (getrandom(2)).
  NTHTREE_ASSERT(bytes <= 256);
  NTHTREE_ASSERT(getrandom(to, bytes, 0) == static_cast<ssize_t>(bytes));
}

std::string random_text() {
  unsigned char bytes[32];
  random_bytes(bytes, sizeof bytes);
  std::string text;
  for (const unsigned char byte : bytes) text += text_letters[byte & 63];
  return text;
}

std::string new_join_code() {
  unsigned char bytes[10];
  random_bytes(bytes, sizeof bytes);
  std::string code;
  for (const unsigned char byte : bytes) {
    if (code.size() == 5) code += '-';
    code += code_letters[byte & 31];
  }
  return code;
}

std::optional<std::string> tidy_join_code(std::string_view typed) {
  std::string code;
  for (char c : typed) {
    if (c == '-' || c == ' ') continue;
    if (c >= 'a' && c <= 'z') c = static_cast<char>(c - 'a' + 'A');
    if (c == 'O') c = '0';
    if (c == 'I' || c == 'L') c = '1';
    if (code_letters.find(c) == std::string_view::npos) return std::nullopt;
    code += c;
  }
  if (code.size() != 10) return std::nullopt;
  return code;
}

}  // namespace nthtree::hub

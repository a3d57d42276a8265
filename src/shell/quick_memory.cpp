// SPDX-License-Identifier: Apache-2.0
//
// The C library's names, which the linker then does not look for there. Compiled with -fno-builtin:
// clang would take the loops for what they are and call these functions in place of them.
#include "shell/quick_memory.h"

using namespace nthtree::shell;

extern "C" {

void* memcpy(void* __restrict to, const void* __restrict from, std::size_t bytes) {
  copy_up(static_cast<char*>(to), static_cast<const char*>(from), bytes);
  return to;
}

void* memmove(void* to, const void* from, std::size_t bytes) {
  const auto there = reinterpret_cast<std::uintptr_t>(to);
  if (there <= reinterpret_cast<std::uintptr_t>(from)) {
    copy_up(static_cast<char*>(to), static_cast<const char*>(from), bytes);
  } else {
    copy_down(static_cast<char*>(to), static_cast<const char*>(from), bytes);
  }
  return to;
}

void* memset(void* to, int byte, std::size_t bytes) {
  fill(static_cast<char*>(to), static_cast<char>(byte), bytes);
  return to;
}

int memcmp(const void* one, const void* other, std::size_t bytes) {
  return compare(static_cast<const char*>(one), static_cast<const char*>(other), bytes);
}

}  // extern "C"

# SPDX-License-Identifier: Apache-2.0
# Debian's own Emscripten, with what it needs on a machine whose node is not Debian's.
if(NOT EXISTS /usr/share/emscripten/cmake/Modules/Platform/Emscripten.cmake)
  message(FATAL_ERROR "Debian's emscripten is missing: run tools/setup")
endif()
include(/usr/share/emscripten/cmake/Modules/Platform/Emscripten.cmake)
# Emscripten's optimizer asks node for acorn, which Debian keeps here; only Debian's own node looks
# there by itself. Linking gets the same through RULE_LAUNCH_LINK in the top CMakeLists.txt.
set(ENV{NODE_PATH} /usr/share/nodejs)
# Emscripten 3.1.6 takes Node 18's fetch for a browser's and fails to open its own .wasm file.
set(CMAKE_CROSSCOMPILING_EMULATOR node --no-experimental-fetch)

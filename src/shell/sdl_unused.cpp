// SPDX-License-Identifier: Apache-2.0
// Stands in for two parts of SDL that its window code names and this app never reaches: pictures
// drawn without a graphics card (custom mouse pointers, window icons, textures) and gestures drawn
// by a finger. The linker takes these and leaves SDL's own in the library.
#include <SDL.h>

extern "C" {

SDL_Surface* SDL_CreateRGBSurface(Uint32, int, int, int, Uint32, Uint32, Uint32, Uint32) {
  return nullptr;  // SDL takes it for a lack of memory, which every caller expects
}
SDL_Surface* SDL_CreateRGBSurfaceFrom(void*, int, int, int, int, Uint32, Uint32, Uint32, Uint32) {
  return nullptr;
}
SDL_Surface* SDL_ConvertSurfaceFormat(SDL_Surface*, Uint32, Uint32) { return nullptr; }
SDL_Surface* SDL_ConvertSurface(SDL_Surface*, const SDL_PixelFormat*, Uint32) { return nullptr; }
SDL_Surface* SDL_CreateRGBSurfaceWithFormatFrom(void*, int, int, int, int, Uint32) {
  return nullptr;
}
int SDL_ConvertPixels(int, int, Uint32, const void*, int, Uint32, void*, int) { return -1; }
int SDL_GetSurfaceAlphaMod(SDL_Surface*, Uint8*) { return -1; }
int SDL_GetSurfaceBlendMode(SDL_Surface*, SDL_BlendMode*) { return -1; }
int SDL_GetSurfaceColorMod(SDL_Surface*, Uint8*, Uint8*, Uint8*) { return -1; }
SDL_bool SDL_HasColorKey(SDL_Surface*) { return SDL_FALSE; }
int SDL_LockSurface(SDL_Surface*) { return -1; }
void SDL_UnlockSurface(SDL_Surface*) {}
void SDL_FreeSurface(SDL_Surface*) {}

int SDL_GestureAddTouch(SDL_TouchID) { return 0; }
int SDL_GestureDelTouch(SDL_TouchID) { return 0; }
void SDL_GestureProcessEvent(SDL_Event*) {}
void SDL_GestureQuit() {}

}  // extern "C"

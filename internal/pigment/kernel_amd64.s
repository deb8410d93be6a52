#include "textflag.h"

// See boundsGeneric, packGeneric, siftGeneric and blendGeneric for what is worked out here; the
// constants are those of acting and look.

#define EIGHT(NAME, BITS) \
	DATA NAME<>+0(SB)/4, BITS;  \
	DATA NAME<>+4(SB)/4, BITS;  \
	DATA NAME<>+8(SB)/4, BITS;  \
	DATA NAME<>+12(SB)/4, BITS; \
	DATA NAME<>+16(SB)/4, BITS; \
	DATA NAME<>+20(SB)/4, BITS; \
	DATA NAME<>+24(SB)/4, BITS; \
	DATA NAME<>+28(SB)/4, BITS; \
	GLOBL NAME<>(SB), RODATA|NOPTR, $32

EIGHT(spread, $0x3e0d4fdf) // (1 − clearCrossing)·halfSpread
EIGHT(half, $0x3e99999a)   // halfSpread
EIGHT(one, $0x3f800000)
EIGHT(quarter, $0x3e800000)
EIGHT(c15, $0x41700000)
EIGHT(c49, $0x42440000)
EIGHT(c105, $0x42d20000)
EIGHT(c420, $0x43d20000)
EIGHT(c945, $0x446c4000)

// ACT sets K to K·acting(S); T is spoilt.
#define ACT(K, S, T) \
	VADDPS half<>(SB), S, T;    \
	VMOVUPS spread<>(SB), Y15;  \
	VDIVPS T, Y15, T;           \
	VMOVUPS one<>(SB), Y15;     \
	VSUBPS T, Y15, T;           \
	VMULPS T, K, K

// LOOK sets K to look(K, S, G, inside), inside lying in Y14; Y5 to Y11 and Y15
// are spoilt.
#define LOOK(K, S, G) \
	VADDPS K, S, Y5;                 \
	VADDPS Y5, S, Y6;                \
	VMULPS Y6, K, Y6;                \
	VMULPS quarter<>(SB), Y6, Y7;    \
	VADDPS c105<>(SB), Y7, Y8;       \
	VFMADD213PS c945<>(SB), Y7, Y8;  \
	VMOVUPS c15<>(SB), Y9;           \
	VFMADD213PS c420<>(SB), Y7, Y9;  \
	VFMADD213PS c945<>(SB), Y7, Y9;  \
	VMULPS Y8, Y8, Y10;              \
	VMULPS Y7, Y10, Y10;             \
	VFMADD231PS Y9, Y9, Y10;         \
	VMULPS Y8, Y9, Y9;               \
	VSQRTPS Y6, Y11;                 \
	VMOVUPS c49<>(SB), Y7;           \
	VCMPPS $1, Y6, Y7, Y7;           \
	VBLENDVPS Y7, one<>(SB), Y9, Y9; \
	VBLENDVPS Y7, Y11, Y10, Y10;     \
	VMOVUPS one<>(SB), Y15;          \
	VSUBPS G, Y15, Y15;              \
	VMULPS S, Y15, Y6;               \
	VADDPS K, Y6, Y5;                \
	VFNMADD231PS K, G, Y6;           \
	VMULPS Y10, G, Y7;               \
	VFMADD231PS Y6, Y9, Y7;          \
	VFMADD231PS Y5, Y9, Y10;         \
	VFNMADD231PS Y7, Y14, Y10;       \
	VDIVPS Y10, Y7, K

// SUM adds up the eight numbers of Y; T is spoilt.
#define SUM(X, Y, TX) \
	VEXTRACTF128 $1, Y, TX; \
	VADDPS TX, X, X;        \
	VHADDPS X, X, X;        \
	VHADDPS X, X, X

// func boundsAVX2(t *table, base, b *box, share float32, out *eachRun) (low, high float32)
TEXT ·boundsAVX2(SB), NOSPLIT, $0-48
	MOVQ t+0(FP), AX
	MOVQ base+8(FP), BX
	MOVQ b+16(FP), CX
	MOVQ out+32(FP), DX
	VBROADCASTSS share+24(FP), Y13
	VBROADCASTSS 96(AX), Y14

	// Y0 least K, Y1 most K, Y2 least S, Y3 most S
	VMOVUPS 0(BX), Y0
	VFMADD231PS 0(CX), Y13, Y0
	VMOVUPS 32(BX), Y1
	VFMADD231PS 32(CX), Y13, Y1
	VMOVUPS 64(BX), Y2
	VFMADD231PS 64(CX), Y13, Y2
	VMOVUPS 96(BX), Y3
	VFMADD231PS 96(CX), Y13, Y3
	ACT(Y0, Y2, Y5)
	ACT(Y1, Y3, Y5)
	VMOVUPS 32(AX), Y4
	LOOK(Y1, Y2, Y4)
	VMOVUPS 128(BX), Y3
	VFMADD231PS 128(CX), Y13, Y3
	VMOVUPS 64(AX), Y4
	LOOK(Y0, Y3, Y4)

	VMOVUPS 0(AX), Y4
	VMULPS Y4, Y0, Y2
	VMULPS Y4, Y1, Y3
	VMINPS Y2, Y3, Y0
	VMAXPS Y2, Y3, Y1
	VMOVUPS Y0, 0(DX)
	VMOVUPS Y1, 32(DX)
	SUM(X0, Y0, X2)
	SUM(X1, Y1, X3)
	VMOVSS X0, low+40(FP)
	VMOVSS X1, high+44(FP)
	VZEROUPPER
	RET

// func packAVX2(t *table, base *box, p *pack, share float32, runs int32, least, most float32, out *packRuns) (open uint32)
TEXT ·packAVX2(SB), NOSPLIT, $32-52
	MOVQ t+0(FP), AX
	MOVQ base+8(FP), BX
	MOVQ p+16(FP), CX
	MOVQ out+40(FP), DX
	MOVLQSX runs+28(FP), R9
	VBROADCASTSS share+24(FP), Y13
	VBROADCASTSS 96(AX), Y14
	VXORPS Y12, Y12, Y12   // the least so far
	VMOVUPS Y12, so-32(SP) // the most so far

each:
	// As above, of one run in eight boxes.
	VBROADCASTSS 0(BX), Y0
	VFMADD231PS 0(CX), Y13, Y0
	VBROADCASTSS 32(BX), Y1
	VFMADD231PS 32(CX), Y13, Y1
	VBROADCASTSS 64(BX), Y2
	VFMADD231PS 64(CX), Y13, Y2
	VBROADCASTSS 96(BX), Y3
	VFMADD231PS 96(CX), Y13, Y3
	ACT(Y0, Y2, Y5)
	ACT(Y1, Y3, Y5)
	VBROADCASTSS 32(AX), Y4
	LOOK(Y1, Y2, Y4)
	VBROADCASTSS 128(BX), Y3
	VFMADD231PS 128(CX), Y13, Y3
	VBROADCASTSS 64(AX), Y4
	LOOK(Y0, Y3, Y4)
	VBROADCASTSS 0(AX), Y4
	VMULPS Y4, Y0, Y2
	VMULPS Y4, Y1, Y3
	VMINPS Y2, Y3, Y0
	VMAXPS Y2, Y3, Y1
	VMOVUPS Y0, 0(DX)
	VMOVUPS Y1, 32(DX)
	VADDPS Y0, Y12, Y12
	VADDPS so-32(SP), Y1, Y1
	VMOVUPS Y1, so-32(SP)
	ADDQ $4, AX
	ADDQ $4, BX
	ADDQ $160, CX
	ADDQ $64, DX
	DECQ R9
	JNE each

	VBROADCASTSS least+32(FP), Y2
	VCMPPS $2, Y1, Y2, Y0 // least ≤ most so far
	VBROADCASTSS most+36(FP), Y3
	VCMPPS $2, Y3, Y12, Y2 // least so far ≤ most
	VANDPS Y2, Y0, Y0
	VMOVMSKPS Y0, R12
	MOVL R12, open+48(FP)
	VZEROUPPER
	RET

// func siftAVX2(v *sieve, base *film1, films *film8) (passed uint32)
TEXT ·siftAVX2(SB), NOSPLIT, $0-28
	MOVQ v+0(FP), AX
	MOVQ base+8(FP), BX
	MOVQ films+16(FP), CX
	MOVQ 0(AX), SI
	VBROADCASTSS 104(AX), Y13
	VBROADCASTSS 108(AX), Y14
	MOVLQSX 112(AX), R9
	LEAQ 8(AX), R10  // ends
	LEAQ 40(AX), R11 // limits
	XORQ DI, DI      // bands done
	MOVL $255, R12   // passed
	VXORPS Y12, Y12, Y12 // sums

run:
	MOVLQSX (R10), R8

band:
	VBROADCASTSS 0(BX), Y0
	VFMADD231PS 0(CX), Y13, Y0
	VBROADCASTSS 4(BX), Y1
	VFMADD231PS 32(CX), Y13, Y1
	ACT(Y0, Y1, Y5)
	VBROADCASTSS 4(SI), Y4
	LOOK(Y0, Y1, Y4)
	VBROADCASTSS 0(SI), Y4
	VFMADD231PS Y0, Y4, Y12
	ADDQ $8, BX
	ADDQ $64, CX
	ADDQ $8, SI
	INCQ DI
	CMPQ DI, R8
	JLT band

	VBROADCASTSS 0(R11), Y0
	VCMPPS $2, Y12, Y0, Y0 // low ≤ sum
	VBROADCASTSS 4(R11), Y1
	VCMPPS $2, Y1, Y12, Y1 // sum ≤ high
	VANDPS Y1, Y0, Y0
	VMOVMSKPS Y0, R13
	ANDL R13, R12
	JEQ done
	ADDQ $4, R10
	ADDQ $8, R11
	DECQ R9
	JNE run

done:
	VMOVUPS Y12, 116(AX)
	MOVL R12, passed+24(FP)
	VZEROUPPER
	RET

// func blendAVX2(out, p, q *box, a, b float32)
TEXT ·blendAVX2(SB), NOSPLIT, $0-32
	MOVQ out+0(FP), AX
	MOVQ p+8(FP), BX
	MOVQ q+16(FP), CX
	VBROADCASTSS a+24(FP), Y5
	VBROADCASTSS b+28(FP), Y6
	VMULPS 0(BX), Y5, Y0
	VMULPS 32(BX), Y5, Y1
	VMULPS 64(BX), Y5, Y2
	VMULPS 96(BX), Y5, Y3
	VMULPS 128(BX), Y5, Y4
	VFMADD231PS 0(CX), Y6, Y0
	VFMADD231PS 32(CX), Y6, Y1
	VFMADD231PS 64(CX), Y6, Y2
	VFMADD231PS 96(CX), Y6, Y3
	VFMADD231PS 128(CX), Y6, Y4
	VMOVUPS Y0, 0(AX)
	VMOVUPS Y1, 32(AX)
	VMOVUPS Y2, 64(AX)
	VMOVUPS Y3, 96(AX)
	VMOVUPS Y4, 128(AX)
	VZEROUPPER
	RET

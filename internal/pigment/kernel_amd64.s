#include "textflag.h"

// See boundGeneric, scoreGeneric and showGeneric for what is worked out here; the
// constants are those of acting, steep and glance.

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

EIGHT(loss, $0x3e0d4fdf)   // actLoss
EIGHT(actAt, $0x3e99999a)  // actHalf
EIGHT(one, $0x3f800000)
EIGHT(half, $0x3f000000)
EIGHT(quarter, $0x3e800000)
EIGHT(c15, $0x41700000)
EIGHT(c49, $0x42440000)
EIGHT(c105, $0x42d20000)
EIGHT(c420, $0x43d20000)
EIGHT(c945, $0x446c4000)
EIGHT(greatest, $0x7f7fffff)
EIGHT(leastTurn, $0x0da24260)
EIGHT(sign, $0x80000000)

// STEEP sets T to T and Z to G², of K and S; A becomes K + S. Y10 to Y13 are spoilt.
#define STEEP(K, S, A, Z, T) \
	VADDPS K, S, A;                    \
	VADDPS A, S, Z;                    \
	VMULPS Z, K, Z;                    \
	VMULPS quarter<>(SB), Z, Y10;      \
	VADDPS c105<>(SB), Y10, Y11;       \
	VFMADD213PS c945<>(SB), Y10, Y11;  \
	VMOVUPS c15<>(SB), Y12;            \
	VFMADD213PS c420<>(SB), Y10, Y12;  \
	VFMADD213PS c945<>(SB), Y10, Y12;  \
	VMULPS Y11, Y11, Y13;              \
	VMULPS Y10, Y13, Y13;              \
	VFMADD231PS Y12, Y12, Y13;         \
	VMULPS Y11, Y12, Y12;              \
	VSQRTPS Z, Y11;                    \
	VMOVUPS c49<>(SB), Y10;            \
	VCMPPS $1, Z, Y10, Y10;            \
	VBLENDVPS Y10, one<>(SB), Y12, Y12; \
	VBLENDVPS Y10, Y11, Y13, Y13;      \
	VDIVPS Y13, Y12, T

// GLANCE begins glance: of K in Y0, S in Y1, ground in Y2, inside in Y14 and 1 in Y15
// Y3 becomes A, Y5 T, Y6 its slope, Y7 m, Y8 c, Y9 what is seen, Y4 down;
// Y10 to Y13 are spoilt.
#define GLANCE \
	STEEP(Y0, Y1, Y3, Y4, Y5);        \
	VSUBPS Y5, Y15, Y6;               \
	VMULPS Y5, Y5, Y10;               \
	VFNMADD231PS Y10, Y4, Y6;         \
	VMAXPS leastTurn<>(SB), Y4, Y4;   \
	VMOVUPS half<>(SB), Y10;          \
	VDIVPS Y4, Y10, Y4;               \
	VMULPS Y4, Y6, Y6;                \
	VSUBPS Y2, Y15, Y7;               \
	VMULPS Y1, Y7, Y7;                \
	VADDPS Y0, Y7, Y8;                \
	VFNMADD231PS Y2, Y0, Y7;          \
	VMOVAPS Y2, Y9;                   \
	VFMADD231PS Y5, Y7, Y9;           \
	VMOVAPS Y15, Y4;                  \
	VFMADD231PS Y5, Y8, Y4;           \
	VFNMADD231PS Y9, Y14, Y4;         \
	VDIVPS Y4, Y15, Y4;               \
	VMULPS Y4, Y9, Y9

// BYK ends glance: what is seen grows by Y10 with K.
#define BYK \
	VADDPS Y3, Y3, Y11;               \
	VMULPS Y6, Y11, Y11;              \
	VMULPS Y5, Y2, Y10;               \
	VFMSUB231PS Y11, Y7, Y10;         \
	VFMADD213PS Y5, Y8, Y11;          \
	VFNMADD231PS Y10, Y14, Y11;       \
	VFNMADD231PS Y11, Y9, Y10;        \
	VMULPS Y4, Y10, Y10

// BYS ends glance: what is seen grows by Y10 with S.
#define BYS \
	VADDPS Y0, Y0, Y11;               \
	VMULPS Y6, Y11, Y11;              \
	VSUBPS Y2, Y15, Y10;              \
	VMULPS Y5, Y10, Y10;              \
	VMOVAPS Y10, Y12;                 \
	VFMADD231PS Y11, Y7, Y10;         \
	VFMADD231PS Y11, Y8, Y12;         \
	VFNMADD231PS Y10, Y14, Y12;       \
	VFNMADD231PS Y12, Y9, Y10;        \
	VMULPS Y4, Y10, Y10

// SHARE adds up what of one limit lies at OFF, of three clusters, in Y7.
#define SHARE(OFF) \
	VMULPS OFF(BX), Y4, Y7;      \
	VFMADD231PS OFF(CX), Y5, Y7; \
	VFMADD231PS OFF(DX), Y6, Y7

// func boundAVX2(v *scene, p, q, r *limits, shares *[3]float32, count int, out *plane)
//
// scene: dark 0, light 64, plus 128, minus 384, inside 640.
// plane: k 0, s 64, low 128, high 144.
TEXT ·boundAVX2(SB), NOSPLIT, $480-56
	MOVQ v+0(FP), AX
	MOVQ p+8(FP), BX
	MOVQ q+16(FP), CX
	MOVQ r+24(FP), DX
	MOVQ out+48(FP), DI
	VBROADCASTSS 640(AX), Y14
	VMOVUPS one<>(SB), Y15
	LEAQ lows-128(SP), R10 // low and high of both halves: 0, 32, 64, 96
	MOVQ $2, R11

part:
	// Y0 least K, Y1 most K, Y2 least S, Y3 most S, over all shares
	MOVQ shares+32(FP), SI
	MOVQ count+40(FP), R9
	VMOVUPS greatest<>(SB), Y0
	VXORPS Y1, Y1, Y1
	VMOVAPS Y0, Y2
	VMOVAPS Y1, Y3

ratio:
	VBROADCASTSS 0(SI), Y4
	VBROADCASTSS 4(SI), Y5
	VBROADCASTSS 8(SI), Y6
	SHARE(0)
	VMINPS Y7, Y0, Y0
	SHARE(64)
	VMAXPS Y7, Y1, Y1
	SHARE(128)
	VMINPS Y7, Y2, Y2
	SHARE(192)
	VMAXPS Y7, Y3, Y3
	ADDQ $12, SI
	DECQ R9
	JNE ratio

	// x0 and x1 in Y4 and Y5, a0 and a1 in Y6 and Y7
	VADDPS actAt<>(SB), Y2, Y4
	VDIVPS Y4, Y15, Y4
	VADDPS actAt<>(SB), Y3, Y5
	VDIVPS Y5, Y15, Y5
	VMOVAPS Y15, Y6
	VFNMADD231PS loss<>(SB), Y4, Y6
	VMOVAPS Y15, Y7
	VFNMADD231PS loss<>(SB), Y5, Y7
	VMULPS Y5, Y4, Y8
	VMULPS loss<>(SB), Y8, Y9
	VMOVUPS Y9, chord-160(SP)
	VSQRTPS Y8, Y8
	VADDPS Y5, Y4, Y9
	VSUBPS Y8, Y9, Y9
	VSUBPS Y8, Y9, Y9
	VMULPS loss<>(SB), Y9, Y9
	VXORPS Y10, Y10, Y10
	VMAXPS Y10, Y9, Y9 // gap
	VMOVUPS half<>(SB), Y13
	VADDPS Y1, Y0, Y10
	VMULPS Y13, Y10, Y10 // kMid
	VMOVUPS Y10, kMid-192(SP)
	VMULPS Y10, Y9, Y9
	VMOVUPS Y9, below-224(SP) // kMid·gap
	VSUBPS Y0, Y1, Y10
	VMULPS Y13, Y10, Y10 // kHalf
	VSUBPS Y6, Y7, Y11
	VMULPS Y11, Y10, Y10
	VMOVUPS Y10, above-256(SP) // kHalf·(a1 − a0)
	VADDPS Y6, Y7, Y11
	VMULPS Y13, Y11, Y11
	VMOVUPS Y11, act-288(SP) // aMid
	VMULPS Y6, Y0, Y0 // c0
	VMULPS Y7, Y1, Y1 // c1
	VMOVUPS Y1, c1-320(SP)
	VADDPS Y1, Y0, Y4
	VMULPS Y13, Y4, Y4
	VMOVUPS Y4, cMid-352(SP)
	VSUBPS Y0, Y1, Y4
	VMULPS Y13, Y4, Y4
	VMOVUPS Y4, cHalf-384(SP)
	VMOVUPS Y2, s0-416(SP)
	VMOVUPS Y3, s1-448(SP)
	VADDPS Y3, Y2, Y1
	VMULPS Y13, Y1, Y1 // sMid

	VMOVUPS 64(AX), Y2
	GLANCE
	BYS
	VMOVUPS Y9, 0(R10)  // p0
	VMOVUPS Y10, 32(R10) // p0S
	VMOVUPS c1-320(SP), Y0
	GLANCE
	BYS
	VMOVUPS Y1, c1-320(SP) // sMid from here on
	VMOVUPS half<>(SB), Y13
	VMOVUPS 0(R10), Y3  // p0
	VMOVUPS 32(R10), Y4 // p0S
	VADDPS Y9, Y3, Y5
	VMULPS Y13, Y5, Y5 // (p0 + p1)/2
	VSUBPS Y3, Y9, Y6
	VMULPS Y13, Y6, Y6 // (p1 − p0)/2
	VADDPS Y4, Y10, Y7
	VMULPS Y13, Y7, Y7 // byS
	VSUBPS Y4, Y10, Y8
	VMOVUPS sign<>(SB), Y12
	VANDNPS Y8, Y12, Y8 // |p1S − p0S|
	VMOVUPS s1-448(SP), Y11
	VSUBPS s0-416(SP), Y11, Y11
	VMULPS Y13, Y11, Y11 // sHalf
	VMULPS Y11, Y8, Y8
	VFMADD231PS Y13, Y8, Y5 // of high
	VMOVUPS Y5, 0(R10)
	VMOVUPS Y6, 32(R10)
	VMOVUPS s0-416(SP), Y1
	VMOVUPS Y7, s0-416(SP) // byS from here on
	VMOVUPS Y11, sHalf-480(SP)
	VMOVUPS cMid-352(SP), Y0
	VMOVUPS 0(AX), Y2
	GLANCE
	BYK
	VMOVUPS Y9, cMid-352(SP) // q0 from here on
	VMOVUPS s1-448(SP), Y1
	VMOVUPS Y10, s1-448(SP) // q0K from here on
	GLANCE
	BYK
	VMOVUPS half<>(SB), Y13
	VMOVUPS sign<>(SB), Y12
	VMOVUPS cMid-352(SP), Y3 // q0
	VMOVUPS s1-448(SP), Y4   // q0K
	VMOVUPS cHalf-384(SP), Y0
	VADDPS Y4, Y10, Y5
	VMULPS Y13, Y5, Y5 // byC
	VSUBPS Y4, Y10, Y6
	VANDNPS Y6, Y12, Y6
	VMULPS Y0, Y6, Y6
	VMULPS Y13, Y6, Y6 // cHalf·|q1K − q0K|/2
	VADDPS Y3, Y9, Y7
	VMULPS Y13, Y7, Y7
	VSUBPS Y6, Y7, Y7 // of low
	VSUBPS Y3, Y9, Y8
	VMULPS Y13, Y8, Y8
	VMOVUPS s0-416(SP), Y4 // byS
	VFNMADD231PS sHalf-480(SP), Y4, Y8
	VANDNPS Y8, Y12, Y8
	VSUBPS Y8, Y7, Y7
	VFMADD231PS below-224(SP), Y5, Y7
	VMOVUPS 32(R10), Y6
	VFNMADD231PS Y0, Y5, Y6
	VANDNPS Y6, Y12, Y6
	VADDPS 0(R10), Y6, Y6
	VFNMADD231PS above-256(SP), Y5, Y6 // high
	VMULPS act-288(SP), Y5, Y9 // k
	VMOVUPS Y9, 0(DI)
	VMOVUPS kMid-192(SP), Y8
	VMULPS Y8, Y5, Y5
	VFMADD231PS chord-160(SP), Y5, Y4 // s
	VMOVUPS Y4, 64(DI)
	VMULPS Y8, Y9, Y9
	VFMADD231PS c1-320(SP), Y4, Y9
	VSUBPS Y9, Y7, Y7
	VSUBPS Y9, Y6, Y6
	VMOVUPS Y7, 0(R10)
	VMOVUPS Y6, 32(R10)

	ADDQ $64, R10
	ADDQ $32, AX
	ADDQ $32, BX
	ADDQ $32, CX
	ADDQ $32, DX
	ADDQ $32, DI
	DECQ R11
	JNE part

	MOVQ v+0(FP), AX
	MOVQ out+48(FP), DI
	LEAQ lows-128(SP), R10
	VMOVUPS 0(R10), Y8
	VMOVUPS 32(R10), Y9
	VMOVUPS 64(R10), Y10
	VMOVUPS 96(R10), Y11

// LOBE sets L and H to what a lobe adds at OFF.
#define LOBE(OFF, L, H) \
	VMOVUPS (128+OFF)(AX), Y12;   \
	VMOVUPS (384+OFF)(AX), Y13;   \
	VMULPS Y8, Y12, L;            \
	VFNMADD231PS Y9, Y13, L;      \
	VMULPS Y9, Y12, H;            \
	VFNMADD231PS Y8, Y13, H;      \
	VMOVUPS (160+OFF)(AX), Y12;   \
	VMOVUPS (416+OFF)(AX), Y13;   \
	VFMADD231PS Y10, Y12, L;      \
	VFNMADD231PS Y11, Y13, L;     \
	VFMADD231PS Y11, Y12, H;      \
	VFNMADD231PS Y10, Y13, H

	LOBE(0, Y0, Y4)
	LOBE(64, Y1, Y5)
	LOBE(128, Y2, Y6)
	LOBE(192, Y3, Y7)
	VHADDPS Y1, Y0, Y0
	VHADDPS Y3, Y2, Y2
	VHADDPS Y2, Y0, Y0
	VEXTRACTF128 $1, Y0, X1
	VADDPS X1, X0, X0
	VMOVUPS X0, 128(DI)
	VHADDPS Y5, Y4, Y4
	VHADDPS Y7, Y6, Y6
	VHADDPS Y6, Y4, Y4
	VEXTRACTF128 $1, Y4, X5
	VADDPS X5, X4, X4
	VMOVUPS X4, 144(DI)
	VZEROUPPER
	RET

// lanes is eight of none, eight of all and eight of none.
DATA lanes<>+0(SB)/8, $0
DATA lanes<>+8(SB)/8, $0
DATA lanes<>+16(SB)/8, $0
DATA lanes<>+24(SB)/8, $0
DATA lanes<>+32(SB)/8, $-1
DATA lanes<>+40(SB)/8, $-1
DATA lanes<>+48(SB)/8, $-1
DATA lanes<>+56(SB)/8, $-1
DATA lanes<>+64(SB)/8, $0
DATA lanes<>+72(SB)/8, $0
DATA lanes<>+80(SB)/8, $0
DATA lanes<>+88(SB)/8, $0
GLOBL lanes<>(SB), RODATA|NOPTR, $96

// ENDS gathers in X4 what is least, or most (by OP), of the lanes in Y8 of Y0 to Y3,
// the others counting as Y9; X5 to X7 are spoilt.
#define LANE(OP, Y, X, T, TX) \
	VBLENDVPS Y8, Y, Y9, T; \
	VEXTRACTF128 $1, T, X;  \
	OP X, TX, TX

#define ENDS(OP) \
	LANE(OP, Y0, X10, Y4, X4);  \
	LANE(OP, Y1, X10, Y5, X5);  \
	LANE(OP, Y2, X10, Y6, X6);  \
	LANE(OP, Y3, X10, Y7, X7);  \
	VUNPCKLPS X5, X4, X10;      \
	VUNPCKHPS X5, X4, X4;       \
	OP X10, X4, X4;             \
	VUNPCKLPS X7, X6, X10;      \
	VUNPCKHPS X7, X6, X6;       \
	OP X10, X6, X6;             \
	VMOVLHPS X6, X4, X5;        \
	VMOVHLPS X4, X6, X7;        \
	OP X5, X7, X4

// func scoreAVX2(p *plane, b *octet, first, end int, out *scores, ends *span)
TEXT ·scoreAVX2(SB), NOSPLIT, $0-48
	MOVQ p+0(FP), AX
	MOVQ b+8(FP), BX
	MOVQ out+32(FP), DI
	VXORPS Y0, Y0, Y0
	VXORPS Y1, Y1, Y1
	VXORPS Y2, Y2, Y2
	VXORPS Y3, Y3, Y3
	VXORPS Y4, Y4, Y4
	VXORPS Y5, Y5, Y5
	VXORPS Y6, Y6, Y6
	VXORPS Y7, Y7, Y7
	MOVQ $16, R9

each:
	VBROADCASTSS 0(AX), Y8
	VBROADCASTSS 64(AX), Y9
	VFMADD231PS 0(BX), Y8, Y0
	VFMADD231PS 32(BX), Y8, Y1
	VFMADD231PS 64(BX), Y8, Y2
	VFMADD231PS 96(BX), Y8, Y3
	VFMADD231PS 128(BX), Y9, Y4
	VFMADD231PS 160(BX), Y9, Y5
	VFMADD231PS 192(BX), Y9, Y6
	VFMADD231PS 224(BX), Y9, Y7
	ADDQ $4, AX
	ADDQ $256, BX
	DECQ R9
	JNE each

	VADDPS Y4, Y0, Y0
	VADDPS Y5, Y1, Y1
	VADDPS Y6, Y2, Y2
	VADDPS Y7, Y3, Y3
	VMOVUPS Y0, 0(DI)
	VMOVUPS Y1, 32(DI)
	VMOVUPS Y2, 64(DI)
	VMOVUPS Y3, 96(DI)

	// The lanes from first to end: those that are from first on and not from end on.
	LEAQ lanes<>(SB), SI
	MOVQ first+16(FP), R8
	MOVQ end+24(FP), R9
	NEGQ R8
	NEGQ R9
	VMOVUPS 32(SI)(R8*4), Y8
	VMOVUPS 32(SI)(R9*4), Y10
	VANDNPS Y8, Y10, Y8
	MOVQ ends+40(FP), DI
	VMOVUPS greatest<>(SB), Y9
	ENDS(VMINPS)
	VMOVUPS X4, 0(DI)
	VORPS sign<>(SB), Y9, Y9
	ENDS(VMAXPS)
	VMOVUPS X4, 16(DI)
	VZEROUPPER
	RET

// func siftAVX2(rows *[lobeCount]float32, count int, s *scores, share float32, limits *span, out *uint8)
TEXT ·siftAVX2(SB), NOSPLIT, $0-48
	MOVQ rows+0(FP), AX
	MOVQ count+8(FP), R9
	MOVQ s+16(FP), BX
	VBROADCASTSS share+24(FP), Y12
	MOVQ limits+32(FP), CX
	MOVQ out+40(FP), DI
	VMULPS 0(BX), Y12, Y0
	VMULPS 32(BX), Y12, Y1
	VMULPS 64(BX), Y12, Y2
	VMULPS 96(BX), Y12, Y3
	VBROADCASTSS 0(CX), Y4
	VBROADCASTSS 4(CX), Y5
	VBROADCASTSS 8(CX), Y6
	VBROADCASTSS 12(CX), Y7
	VBROADCASTSS 16(CX), Y8
	VBROADCASTSS 20(CX), Y9
	VBROADCASTSS 24(CX), Y10
	VBROADCASTSS 28(CX), Y11

// WITHIN leaves in Y13 which lanes of S and the base at OFF are from L to H.
#define WITHIN(OFF, S, L, H) \
	VBROADCASTSS OFF(AX), Y13; \
	VADDPS S, Y13, Y13;        \
	VCMPPS $2, Y13, L, Y14;    \
	VCMPPS $2, H, Y13, Y13;    \
	VANDPS Y14, Y13, Y13

row:
	WITHIN(0, Y0, Y4, Y8)
	VMOVAPS Y13, Y15
	WITHIN(4, Y1, Y5, Y9)
	VANDPS Y13, Y15, Y15
	WITHIN(8, Y2, Y6, Y10)
	VANDPS Y13, Y15, Y15
	WITHIN(12, Y3, Y7, Y11)
	VANDPS Y13, Y15, Y15
	VMOVMSKPS Y15, R8
	MOVB R8, (DI)
	ADDQ $16, AX
	INCQ DI
	DECQ R9
	JNE row
	VZEROUPPER
	RET

// func showAVX2(v *view, p, q, r *spectrum, x *[3]float32) (out [lobeCount]float32)
//
// view: ground 0, weight 160, inside 800; spectrum: K 0, S 160.
TEXT ·showAVX2(SB), NOSPLIT, $0-56
	MOVQ v+0(FP), AX
	MOVQ p+8(FP), BX
	MOVQ q+16(FP), CX
	MOVQ r+24(FP), DX
	MOVQ x+32(FP), SI
	VXORPS Y6, Y6, Y6
	VXORPS Y7, Y7, Y7
	VXORPS Y8, Y8, Y8
	VXORPS Y9, Y9, Y9
	VBROADCASTSS 800(AX), Y14
	VMOVUPS one<>(SB), Y15
	MOVQ $5, R9

bands:
	VBROADCASTSS 0(SI), Y3
	VBROADCASTSS 4(SI), Y4
	VBROADCASTSS 8(SI), Y5
	VMULPS 0(BX), Y3, Y0
	VFMADD231PS 0(CX), Y4, Y0
	VFMADD231PS 0(DX), Y5, Y0
	VMULPS 160(BX), Y3, Y1
	VFMADD231PS 160(CX), Y4, Y1
	VFMADD231PS 160(DX), Y5, Y1
	VADDPS actAt<>(SB), Y1, Y2
	VMOVUPS loss<>(SB), Y3
	VDIVPS Y2, Y3, Y2
	VSUBPS Y2, Y15, Y2
	VMULPS Y2, Y0, Y0
	VMOVUPS 0(AX), Y2
	STEEP(Y0, Y1, Y3, Y4, Y5)
	// up in Y4, down in Y3
	VSUBPS Y2, Y15, Y4
	VMULPS Y1, Y4, Y4
	VADDPS Y0, Y4, Y3
	VFNMADD231PS Y2, Y0, Y4
	VFMADD213PS Y2, Y5, Y4
	VFMADD213PS Y15, Y5, Y3
	VFNMADD231PS Y4, Y14, Y3
	VDIVPS Y3, Y4, Y4
	VFMADD231PS 160(AX), Y4, Y6
	VFMADD231PS 320(AX), Y4, Y7
	VFMADD231PS 480(AX), Y4, Y8
	VFMADD231PS 640(AX), Y4, Y9
	ADDQ $32, AX
	ADDQ $32, BX
	ADDQ $32, CX
	ADDQ $32, DX
	DECQ R9
	JNE bands

	VHADDPS Y7, Y6, Y6
	VHADDPS Y9, Y8, Y8
	VHADDPS Y8, Y6, Y6
	VEXTRACTF128 $1, Y6, X7
	VADDPS X7, X6, X6
	VMOVUPS X6, out+40(FP)
	VZEROUPPER
	RET

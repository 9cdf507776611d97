if __name__ == "__main__":
    try:
        from genplan.cli import main
    except KeyboardInterrupt:
        raise SystemExit(130) from None
    raise SystemExit(main())
